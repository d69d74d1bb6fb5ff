//go:build !windows

package webhook

// modesCount is whether the mode of a file says who may read it.
const modesCount = true
