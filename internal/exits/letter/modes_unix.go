//go:build !windows

package letter

// modesCount is whether the mode of a file says who may read it.
const modesCount = true
