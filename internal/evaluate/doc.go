// Package evaluate turns the readings of a job into a recommended part and a
// verdict: repeats and their agreement, the signed dimension chain, the window
// of part thickness, the choice of a grade and the proof after fitting.
//
// Everything here is a pure function of its arguments: no I/O, no clock, no
// log, no goroutine, no randomness. Lengths are whole picometres from the
// reading to the verdict; floats appear only in statistics that are shown and
// never decide.
package evaluate
