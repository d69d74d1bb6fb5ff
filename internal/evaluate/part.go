package evaluate

import (
	"fmt"

	"gauged/internal/gauge"
)

// part works out the window of thickness and the part that is wanted.
func (w *work) part() {
	switch {
	case w.p.Choose.Aim == AimTable:
		w.fromTable()
	case !w.window():
		// The finding says what to do.
	case w.p.ToSize:
		w.e.Outcome = FitPart
		w.e.Why = w.aimWords()
	case w.p.Choose.Pack != nil:
		w.pack()
	default:
		w.rank()
	}
}

// window computes the thicknesses that give an allowed play, and the one aimed
// at: thickness = gap - play. It reports false when no part could be thin
// enough, which is a fault of the set-up and never a negative shim.
func (w *work) window() (possible bool) {
	gap := *w.e.Gap
	low, high := gap-*w.p.Allowed.Max, gap-*w.p.Allowed.Min
	if high <= 0 {
		w.e.Outcome = MeasureAgain
		w.find(FindingImpossible, "a gap of %s leaves no room for any part with the allowed %s of %s: clean, seat and rotate the parts, check the zero and the sign of each reading, and measure again",
			w.p.show(gap), w.p.word(), w.p.showAllowed())
		return false
	}
	low = max(low, 0)
	w.e.Window = &Limits{&low, &high}
	aim := w.aim(low, high)
	w.e.Aim = &aim
	return true
}

func (w *work) aim(low, high gauge.Length) gauge.Length {
	switch w.p.Choose.Aim {
	case AimThickest:
		return high
	case AimThinnest:
		return low
	case AimPlay:
		return max(*w.e.Gap-w.p.Choose.AimPlay, low)
	default:
		return gauge.Mean(low, high)
	}
}

// rank lists every grade with the play it would give and takes the one that
// fits, can be had and is nearest to the aim.
func (w *work) rank() {
	best, bestInStock := -1, -1
	for i, g := range w.family.Grades {
		if g.Thickness == nil {
			w.e.Candidates = append(w.e.Candidates, Candidate{Grade: g, PassedOver: "its thickness is not in the table"})
			continue
		}
		play := *w.e.Gap - *g.Thickness
		c := Candidate{Grade: g, Play: &play, Fits: w.inWindow(*g.Thickness)}
		if c.Fits {
			if best < 0 || w.nearer(*g.Thickness, *w.family.Grades[best].Thickness) {
				best = i
			}
			switch {
			case g.out():
				c.PassedOver = "out of stock"
			case bestInStock < 0 || w.nearer(*g.Thickness, *w.family.Grades[bestInStock].Thickness):
				bestInStock = i
			}
		}
		w.e.Candidates = append(w.e.Candidates, c)
	}
	if bestInStock < 0 {
		w.nothingFits()
		return
	}
	w.choose(bestInStock)
	w.e.Why = w.why(*w.e.Choice)
	if best != bestInStock {
		w.find(FindingOutOfStock, "%s is nearer to the aim but out of stock; %s is the next that fits",
			w.p.showGrade(w.family.Grades[best]), w.e.Choice.Part)
	}
}

// choose settles on a candidate and shows its neighbours.
func (w *work) choose(i int) {
	w.e.Outcome = FitPart
	w.e.Choice = &w.e.Candidates[i]
	if i > 0 {
		w.e.Thinner = &w.e.Candidates[i-1]
	}
	if i+1 < len(w.e.Candidates) {
		w.e.Thicker = &w.e.Candidates[i+1]
	}
}

func (w *work) inWindow(t gauge.Length) bool {
	low, high := *w.e.Window.Min, *w.e.Window.Max
	if w.p.Choose.Border == BorderOutside {
		return t > low && t < high
	}
	return t >= low && t <= high
}

// nearer reports whether thickness a is preferred to b; grades come in rising
// order, so at equal distance a is the thicker one. Distances to the middle are
// compared as twice the distance, so that half a picometre does not decide.
func (w *work) nearer(a, b gauge.Length) bool {
	twiceAim := 2 * *w.e.Aim
	if w.p.Choose.Aim == AimMiddle {
		twiceAim = *w.e.Window.Min + *w.e.Window.Max
	}
	da, db := (2*a - twiceAim).Abs(), (2*b - twiceAim).Abs()
	return da < db || da == db && w.p.Choose.TieThicker
}

// nothingFits names the nearest grades on both sides of the window, with the
// play that they would give, and what to check.
func (w *work) nothingFits() {
	w.e.Outcome = NothingFits
	for i := range w.e.Candidates {
		c := &w.e.Candidates[i]
		switch {
		case c.Thickness == nil:
		case c.PassedOver != "":
			w.find(FindingOutOfStock, "%s would fit but is out of stock", w.p.showGrade(c.Grade))
		case *c.Thickness <= *w.e.Window.Min:
			w.e.Thinner = c
		case w.e.Thicker == nil && *c.Thickness >= *w.e.Window.Max:
			w.e.Thicker = c
		}
	}
	text := fmt.Sprintf("no grade that can be had is %s thick", w.p.showLimits(*w.e.Window))
	if c := w.e.Thinner; c != nil {
		text += fmt.Sprintf("; the next thinner, %s, would give %s", w.p.showGrade(c.Grade), w.p.playWords(*c.Play))
	}
	if c := w.e.Thicker; c != nil {
		text += fmt.Sprintf("; the next thicker, %s, would give %s", w.p.showGrade(c.Grade), w.p.playWords(*c.Play))
	}
	w.find(FindingNothingFits, "%s: check that the right faces were measured, that nothing is left out of the sum, and the part family; then measure again or order the part", text)
}

// fromTable takes the grade whose row serves the gap.
func (w *work) fromTable() {
	gap := roundToStep(*w.e.Gap, w.family.RowStep)
	chosen := -1
	for i, g := range w.family.Grades {
		c := Candidate{Grade: g}
		if g.Thickness != nil {
			play := *w.e.Gap - *g.Thickness
			c.Play = &play
		}
		if g.Serves.Limited() && g.Serves.Contains(gap) {
			c.Fits = true
			// Two rows serve their common border; the later one is the upper.
			if chosen < 0 || w.family.BorderUpper {
				chosen = i
			}
		}
		w.e.Candidates = append(w.e.Candidates, c)
	}
	for i := range w.e.Candidates {
		if c := &w.e.Candidates[i]; c.Fits && i != chosen {
			c.Fits, c.PassedOver = false, "the gap at the border belongs to the other row"
		}
	}
	if chosen < 0 {
		w.e.Outcome = NothingFits
		w.find(FindingNothingFits, "no row of the table serves a gap of %s: check that the right faces were measured and that nothing is left out of the sum, then measure again", w.p.show(gap))
		return
	}
	if c := &w.e.Candidates[chosen]; c.out() {
		c.PassedOver = "out of stock"
		w.e.Outcome = NothingFits
		w.find(FindingOutOfStock, "%s is the part for this gap but is out of stock", w.p.showGrade(c.Grade))
		return
	}
	w.choose(chosen)
	w.e.Why = fmt.Sprintf("the table gives it for gaps of %s", w.p.showLimits(w.e.Choice.Serves))
}

// roundToStep rounds a gap to whole steps, half to even; a step of 0 leaves it.
func roundToStep(gap, step gauge.Length) gauge.Length {
	if step == 0 {
		return gap
	}
	steps := gap / step
	rest := 2 * (gap - steps*step).Abs()
	if rest > step || rest == step && steps%2 != 0 {
		if gap < 0 {
			steps--
		} else {
			steps++
		}
	}
	return steps * step
}
