// Package statistics does the arithmetic of repeated readings in float64:
// means and deviations, distributions, and tests for readings that stand out.
// It knows no lengths and no units: what goes in in metres comes out in metres.
// Its results are shown and point at what a person should look at; they never
// decide a verdict. Each formula names where it is published.
package statistics
