package study

import (
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// figure is a figure as Number writes it.
func figure(name string, x float64) gauge.Arg {
	return gauge.Shown(name, Number(x), gauge.UnitUnknown)
}

// known is a figure with the digits that its standard uncertainty leaves it; where that is not
// known, as figure.
func known(name string, x, standard float64) gauge.Arg {
	if !(standard > 0) {
		return figure(name, x)
	}
	written, _ := uncertainty.TwoDigits(x, standard)
	return gauge.Shown(name, written, gauge.UnitUnknown)
}

// formatted is a figure with the digits that strconv.FormatFloat writes.
func formatted(name string, x float64, format byte, digits int) gauge.Arg {
	return gauge.Shown(name, strconv.FormatFloat(x, format, digits, 64), gauge.UnitUnknown)
}

// trust is a confidence in percent.
func trust(confidence float64) gauge.Arg { return formatted("trust", 100*confidence, 'g', 4) }

// chanceOf is the P of a test, as Probability writes it.
func chanceOf(p float64) gauge.Arg {
	if p < leastP {
		return gauge.Nested("p", gauge.Say("judged.p_under", formatted("least", leastP, 'f', 4)))
	}
	return formatted("p", p, 'f', 4)
}

// leftOut notes rows without a value; zero when there are none.
func (d *Data) leftOut() (notes []gauge.Message) {
	if d.Empty > 0 {
		notes = append(notes, gauge.Say("noted.empty_rows", gauge.Count("rows", d.Empty)))
	}
	return notes
}

// belowZeroCode is the code of what it says.
const belowZeroCode = "noted.below_zero"

// belowZero says what became of a variance that was estimated below 0, alike in every
// study: it is shown as it came out, and counts as 0 in the sums that follow from it.
func belowZero(of gauge.Arg, estimate float64) gauge.Message {
	return gauge.Say(belowZeroCode, of, gauge.Shown("estimate", significant(estimate, 3), gauge.UnitUnknown))
}
