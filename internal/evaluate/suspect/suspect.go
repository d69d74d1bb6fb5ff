// Package suspect says what the repeats of a measurement tell of how they were taken, and
// which readings have no common zero. Nothing here drops a reading or decides a verdict: a
// person is told what to look at.
// Readings are those that count, in the order in which they were taken; resolution is the
// display step of the gauge, and usual the standard deviation that readings of one and the
// same place usually have as shown, each 0 when not known. value tells a length to people.
package suspect

import (
	"slices"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// leastGrubbs is below the critical value of any number of readings at any level
// up to 5 %, which is least for three: most readings need no quantile.
const leastGrubbs = 1.15

// Outliers returns the indexes of the readings that stand out, in rising order.
// Among normal readings without an outlier one is found with the probability
// level, by the deviate test up to 1.4 times as often when readings are few. A
// display step that is not far below the scatter makes it rarer, most of all
// among three readings, where only the grossest outlier is found, and none beside two
// that are equal. Readings that all lie within two display steps never stand out: their
// digits say more about the display than about the part.
func Outliers(readings []gauge.Length, resolution gauge.Length, test procedure.OutlierTest, level uncertainty.Level) []int {
	fewest := test.FewestReadings()
	if fewest == 0 || len(readings) < fewest || compute.Statistic(procedure.TakeRange, readings) <= 2*resolution {
		return nil
	}
	if len(readings) == 3 && (readings[0] == readings[1] || readings[1] == readings[2] || readings[0] == readings[2]) {
		return nil // two that agree to the digit make any third stand out
	}
	x, step := uncertainty.FromFirst(readings), uncertainty.Float(resolution)
	if test == procedure.OutlierGrubbs {
		index, g := uncertainty.Grubbs(x, uncertainty.EitherSide, step)
		if g <= leastGrubbs || g <= uncertainty.GrubbsCritical(len(x), level, uncertainty.EitherSide) {
			return nil
		}
		return []int{index}
	}
	deviates, n := uncertainty.ESD(x, len(x)/5, level, step)
	var found []int
	for _, d := range deviates[:n] {
		found = append(found, d.Index)
	}
	slices.Sort(found)
	return found
}

// fallingLevel is how often FallingFirst may be wrong.
const fallingLevel = uncertainty.Level(0.02)

// FallingFirst says so when the first of three or more readings is so much
// larger than all others that the part had not been seated: the gap was larger,
// then it settled. The first must be above the largest of the others by more
// than two display steps, and above the limit that a further reading like the
// others exceeds in 2 % of cases. With the usual scatter known that is 2.05 of
// it for many readings, 2.5 for three; from the others alone it takes far more.
func FallingFirst(readings []gauge.Length, resolution, usual gauge.Length, value func(string, gauge.Length) gauge.Arg) (args []gauge.Arg, ok bool) {
	if len(readings) < 3 {
		return nil, false
	}
	others := readings[1:]
	smallest, largest := slices.Min(others), slices.Max(others)
	if readings[0]-largest <= 2*resolution || largest-smallest > 10*max(readings[0]-largest, usual) {
		return nil, false // or the others do not agree among themselves, so that nothing stands apart from them
	}
	x := uncertainty.FromFirst(readings)
	limit := uncertainty.PredictionLimit(x[1:], fallingLevel, uncertainty.Float(resolution), uncertainty.Float(usual))
	if !(x[0] > limit) {
		return nil, false
	}
	return []gauge.Arg{value("first", readings[0]), value("above", readings[0]-largest), gauge.Count("others", len(others)), value("within", largest-smallest)}, true
}

const (
	// identicalBelow is the probability below which identical readings are suspect.
	identicalBelow = 0.01
	// Without a known scatter: so many readings of a display so fine are not
	// expected to be identical (common practice, no source).
	identicalReadings = 5
	identicalFinest   = gauge.Length(1e6) // 1 um
)

// Identical says so when the readings are the same to the digit although that
// is improbable: the spindle may stick, or the gauge repeats a held value. With
// the usual scatter known, identical digits must have less than 1 % probability;
// without it, five readings of a gauge with a display step of at most 1 um are
// enough. It needs the resolution.
func Identical(readings []gauge.Length, resolution, usual gauge.Length, value func(string, gauge.Length) gauge.Arg) (args []gauge.Arg, ok bool) {
	n := len(readings)
	if n < 2 || resolution <= 0 || compute.Statistic(procedure.TakeRange, readings) != 0 {
		return nil, false
	}
	if usual <= 0 {
		if n < identicalReadings || resolution > identicalFinest {
			return nil, false
		}
		return []gauge.Arg{gauge.Count("n", n), value("value", readings[0]), value("step_of_display", resolution)}, true
	}
	step := uncertainty.Float(resolution)
	scatter := uncertainty.BeforeRounding(uncertainty.Float(usual), step)
	if uncertainty.ProbabilityIdentical(n, scatter, step) >= identicalBelow {
		return nil, false
	}
	return []gauge.Arg{gauge.Count("n", n), value("value", readings[0]), value("usual", usual)}, true
}
