// Package chaos_test does to gauges' lines everything that goes wrong with
// them, on pseudo-terminals, and checks one property: each valid frame that was
// written while the line was up is delivered exactly once, in order, and
// nothing else is ever delivered as a value.
//
// What must be delivered is decided by the strict parsers of this package,
// which know nothing of the parsers that they judge. Every draw follows from a
// seed, which is printed: give it again with -seed.
package chaos_test
