package uncertainty

// Verdict is what a conformance probability says.
type Verdict string

// The verdicts.
const (
	Conforms       Verdict = "conforms"
	DoesNotConform Verdict = "does not conform"
	Undecided      Verdict = "undecided" // inside the uncertainty of a limit
)

// Decide is the decision rule for every value with limits, be it of a job, of a
// recall or of a gauge held against a master. inside is the probability that the
// true value is within the limits, of which there may be one or two (JCGM 106,
// clause 7). required, such as 0.95, is over one half: at least so much proves
// that the value conforms, at most the rest to 1 proves that it does not, and in
// between nothing is proved (ISO 14253-1, whose default is 95 %; both from
// memory). Both sides are rounded before they are compared, so that a value
// decides alike wherever it is computed. With a required probability of one half
// or less everything is undecided.
func Decide(inside, required Probability) Verdict {
	switch {
	case required <= Certain/2:
		return Undecided
	case inside >= required:
		return Conforms
	case inside <= Certain-required:
		return DoesNotConform
	}
	return Undecided
}

// NarrowestWindow is the width of the narrowest window in which any value
// conforms with probability p, in standard uncertainties of infinite freedom:
// 3.91993 for 0.95.
func NarrowestWindow(p float64) float64 { return -2 * NormalQuantile((1-p)/2) }
