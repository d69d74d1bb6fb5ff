package say

import (
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
	"gauged/internal/words"
)

// Error writes an error of statistics in metres with its expanded uncertainty, twice the
// standard one.
func Error(w words.Words, metres, standard float64, u gauge.Unit) string {
	return Around(w, metres, 2*standard, u)
}

// Around writes an error in metres with its sign and its expanded uncertainty, in the unit in
// which errors of a gauge are read. The uncertainty has two digits, and the error as many
// decimals as it (JCGM 100, 7.2.6). An uncertainty of 0 is not known, and not written.
func Around(w words.Words, metres, expanded float64, u gauge.Unit) string {
	unit, size := ErrorUnit(u)
	x, expanded := metres/size, expanded/size
	if !(expanded > 0) {
		return w.Number(fmt.Sprintf("%+.3g", x)) + " " + unit
	}
	value, around := uncertainty.TwoDigits(x, expanded)
	if x >= 0 {
		value = "+" + value
	}
	return w.Number(value) + " ± " + w.Number(around) + " " + unit
}

// ErrorUnit is the unit in which errors of a gauge are read, and its size in metres.
func ErrorUnit(u gauge.Unit) (symbol string, metres float64) {
	if u == gauge.Inch {
		return u.String(), u.Size().Metres()
	}
	return "µm", gauge.Micrometre.Size().Metres()
}
