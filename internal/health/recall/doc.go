// Package recall computes what past jobs would have come to if an error of a
// gauge, found out later, had been known: the corrected value, its verdict, and
// the probability of conformance before and after. It is streaming: a job is
// computed by itself, so that a history of any length fits.
//
// Values and limits are exact lengths. A correction is a sum in picometres that is
// rounded once, half to even; the probability that decides is rounded before it is
// compared, by the one rule of uncertainty.Decide. A result points at the units to look at again; it does
// not replace the verdict that the history holds.
//
// It is pure: no I/O, no clock.
package recall
