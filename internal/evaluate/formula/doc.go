// Package formula is the language in which a shop writes its sums: what they may
// look like, which quantities go together, and what they come to. It also holds the
// printed tables that a formula looks up.
//
// Everything is exact: a value is a rational number of picometres, newtons, kelvins,
// degrees, or of their products, and is rounded once, by InUnit, when it becomes a
// stored value. There is no float here, no I/O, no clock.
package formula
