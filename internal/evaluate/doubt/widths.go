package doubt

import (
	"math"
	"strconv"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Narrow reports whether the limits of a result are nearer to each other than what makes
// it uncertain lets any value be decided, and says by how much.
func (d *Doubts) Narrow(x *formula.Expression, limits procedure.Bounds, u gauge.Unit) (says gauge.Message, narrow bool) {
	allowed := limits.Limits
	if allowed.Min == nil || allowed.Max == nil || !x.Linear || !d.Ruling(x, limits).Guard {
		return gauge.Message{}, false
	}
	a, c := d.assessed(x, u)
	if a == nil || a.budget.Standard == 0 || c.of.bends { // without readings a bend has no slopes
		return gauge.Message{}, false
	}
	width, required := float64(*allowed.Max-*allowed.Min), d.P.Decide.Required
	if a.middle(width)+drawnApart >= required.Float() {
		return gauge.Message{}, false
	}
	least := a.narrowest(required.Float())
	return gauge.Say("found.window_too_narrow", d.P.TellIn("apart", *allowed.Max-*allowed.Min, u), decimal("times", width/a.budget.Standard, 1),
		d.P.TellIn("standard", ThreeDigits(a.budget.Standard), u), decimal("least", least, 2), gauge.Nested("would_do", d.whatWouldDo(a, width/max(least, uncertainty.NarrowestWindow(required.Float())), u))), true
}

// drawnApart is how far the draws that may decide can be from the shape that is
// computed here: limits that could be met are not refused.
const drawnApart = 0.002

// middle is the probability of a value in the middle between limits: no other is
// inside more probably.
func (a *Assessed) middle(width float64) float64 { return a.Within(-width/2, width/2) }

// narrowest is the width of the narrowest limits in which any value conforms, in
// standard uncertainties: 3.92 where the budget is normal, 3.29 where one rectangle
// is all of it, 8.61 where Student's t has two degrees of freedom.
func (a *Assessed) narrowest(required float64) float64 {
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
func (d *Doubts) whatWouldDo(a *Assessed, allowed float64, u gauge.Unit) gauge.Message {
	greatest := a.greatest()
	source := gauge.Nested("source", d.source(greatest.Name))
	room := allowed*allowed - (a.budget.Standard*a.budget.Standard - greatest.Contribution*greatest.Contribution)
	if room <= 0 {
		return gauge.Say("would_do.nothing", source)
	}
	half := d.P.TellIn("half", floorTwoDigits(math.Sqrt(room)*math.Sqrt(3)), u)
	remedy := gauge.Nested("remedy", remedyFor(greatest.Name))
	kind, _, _ := strings.Cut(kindOf(greatest.Name), " (")
	switch kind {
	case "repeatability", "repeatability, pooled":
		return gauge.Say("would_do.readings", source, decimal("times", math.Ceil(greatest.Contribution*greatest.Contribution/room), 0))
	case "tolerance":
		return gauge.Say("would_do.tolerance", source, half, remedy)
	case "error of the gauge", "calibration", "resolution":
		return gauge.Say("would_do.gauge", source, d.P.TellIn("half", floorTwoDigits(math.Sqrt(room)*greatest.Standard/greatest.Contribution*math.Sqrt(3)), u))
	}
	return gauge.Say("would_do.other", source, half, remedy)
}

// decimal is a plain number with so many decimals.
func decimal(name string, x float64, decimals int) gauge.Arg {
	return gauge.Shown(name, strconv.FormatFloat(x, 'f', decimals, 64), gauge.UnitUnknown)
}

// floorTwoDigits rounds down to two digits, as a limit that is demanded.
func floorTwoDigits(x float64) gauge.Length {
	step := math.Max(1, math.Pow(10, math.Floor(math.Log10(x))-1))
	return gauge.Length(math.Floor(x/step) * step)
}
