// Package show writes the values of the contract for a terminal: lengths, times, words,
// measurements, grades and evaluations, in aligned columns.
package show
