package evaluate

import (
	"fmt"
	"math"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// tooNarrow refuses limits between which nothing can be decided, before anything
// is measured.
func (w *work) tooNarrow() {
	if len(w.In.Readings) > 0 {
		return
	}
	for _, n := range w.narrow() {
		w.e.Outcome = Undecided
		w.find(FindingTooNarrow, "%s: %s", n.Result, n.Text)
	}
}

// Narrow is a result whose limits are so near to each other that nothing can be decided
// between them.
type Narrow struct{ Result, Place, Text string }

// NarrowOf lists them, with what a procedure states of instruments and constants.
func NarrowOf(p *procedure.Procedure) []Narrow {
	w := withoutParts(p, compute.Input{})
	w.brief = NewBrief() // nothing is written down
	w.TakeConstants()
	return w.narrow()
}

// narrow lists results whose limits are nearer to each other than what makes them
// uncertain lets any value be decided.
func (w *work) narrow() []Narrow {
	var all []Narrow
	for _, r := range w.results() {
		allowed := r.limits.Limits
		if allowed.Min == nil || allowed.Max == nil || !r.x.Linear || !w.ruling(r.x, r.limits).guard {
			continue
		}
		a, c := w.doubts.assessed(r.x, r.unit)
		if a == nil || a.budget.Standard == 0 || c.of.bends { // without readings a bend has no slopes
			continue
		}
		width, required := float64(*allowed.Max-*allowed.Min), w.P.Decide.Required
		if a.middle(width)+drawnApart >= required.Float() {
			continue
		}
		least := a.narrowest(required.Float())
		all = append(all, Narrow{r.name, r.place, fmt.Sprintf("the limits are %s apart, which is %.1f times the standard uncertainty of %s; at least %.2f times are needed before any value can be said to conform: %s",
			w.P.ShowIn(*allowed.Max-*allowed.Min, r.unit), width/a.budget.Standard, w.P.ShowIn(threeDigits(a.budget.Standard), r.unit), least, w.whatWouldDo(a, width/max(least, uncertainty.NarrowestWindow(required.Float())), r.unit))})
	}
	return all
}

// drawnApart is how far the draws that may decide can be from the shape that is
// computed here: limits that could be met are not refused.
const drawnApart = 0.002

// middle is the probability of a value in the middle between limits: no other is
// inside more probably.
func (a *assessed) middle(width float64) float64 { return a.within(-width/2, width/2) }

// narrowest is the width of the narrowest limits in which any value conforms, in
// standard uncertainties: 3.92 where the budget is normal, 3.29 where one rectangle
// is all of it, 8.61 where Student's t has two degrees of freedom.
func (a *assessed) narrowest(required float64) float64 {
	low, high := 0.0, 1.0
	for a.middle(high*a.budget.Standard) < required && high < 1e6 {
		high *= 2
	}
	for range 40 {
		half := (low + high) / 2
		if a.middle(half*a.budget.Standard) < required {
			low = half
		} else {
			high = half
		}
	}
	return high
}

// whatWouldDo names the greatest share of an uncertainty and says how small it must
// be, and how that can be reached.
func (w *work) whatWouldDo(a *assessed, allowed float64, u gauge.Unit) string {
	greatest := a.greatest()
	room := allowed*allowed - (a.budget.Standard*a.budget.Standard - greatest.Contribution*greatest.Contribution)
	if room <= 0 {
		return fmt.Sprintf("the greatest share is %s, but without it the limits are still too narrow", greatest.Name)
	}
	text := "the greatest share is " + greatest.Name
	half := w.P.ShowIn(floorTwoDigits(math.Sqrt(room)*math.Sqrt(3)), u)
	kind, _, _ := strings.Cut(kindOf(greatest.Name), " (")
	switch kind {
	case "repeatability", "repeatability, pooled":
		return fmt.Sprintf("%s; it would do with %.0f times as many readings", text, math.Ceil(greatest.Contribution*greatest.Contribution/room))
	case "tolerance":
		return fmt.Sprintf("%s; it would do with %s of the result either way at most: %s. More readings and a better gauge do not mend it", text, half, remedyFor(greatest.Name))
	case "error of the gauge", "calibration", "resolution":
		return fmt.Sprintf("%s; it would do with %s either way at most", text, w.P.ShowIn(floorTwoDigits(math.Sqrt(room)*greatest.Standard/greatest.Contribution*math.Sqrt(3)), u))
	}
	return fmt.Sprintf("%s; it would do with %s of the result either way at most: %s", text, half, remedyFor(greatest.Name))
}

// floorTwoDigits rounds down to two digits, as a limit that is demanded.
func floorTwoDigits(x float64) gauge.Length {
	step := math.Max(1, math.Pow(10, math.Floor(math.Log10(x))-1))
	return gauge.Length(math.Floor(x/step) * step)
}
