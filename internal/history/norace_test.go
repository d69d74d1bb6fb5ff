//go:build !race

package history_test

// slowness divides the number of random trials.
const slowness = 1
