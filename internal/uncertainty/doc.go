// Package uncertainty combines the uncertainties of measured and given values
// and says what they mean for a verdict: the budget of JCGM 100 (GUM), the
// Monte Carlo method of JCGM 101 (its Supplement 1), and the conformance
// probability of JCGM 106 and ISO 14253-1. Decide makes every verdict.
//
// It also does the arithmetic of repeated readings: means and deviations,
// quantiles, and tests for readings that stand out. That is shown, and points at
// what a person should look at; it decides nothing.
//
// It knows no lengths and no units: all values of one budget are in one unit,
// which the caller chooses. Each formula names where it is published.
//
// It is pure: what is drawn at random comes from a generator seeded by the
// caller. The same seed gives the same sample on every machine, bit for bit:
// drawing uses only operations that IEEE 754 rounds exactly, and a product that
// is added to something stands in float64(), which by the Go specification
// keeps the compiler from fusing the two where the processor could. A Model has
// to do the same. Probabilities and quantiles come from series of the standard
// library and gonum, whose last digits may differ between processors: whoever
// stores them rounds them first.
package uncertainty
