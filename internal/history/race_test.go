//go:build race

package history_test

// slowness divides the number of random trials: the race detector makes SQLite
// many times slower.
const slowness = 15
