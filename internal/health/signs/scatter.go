package signs

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// meanAndSD returns mean and standard deviation in picometres.
func meanAndSD(values []gauge.Length) (mean, sd float64) {
	mean, sd = uncertainty.MeanStdDev(uncertainty.FromFirst(values))
	return mean + float64(values[0]), sd
}

func twoSidedT(rate Rate, freedom int) float64 {
	return -uncertainty.StudentQuantile(float64(rate)/2, float64(freedom))
}

// FindNoise looks for a gauge that scatters more than it used to: readings are
// repeats of one value, usual is the scatter of healthy ones in metres, step
// that of the display, whose part both have (JCGM 100, F.2.2.1). The statistic is
// the ratio of the variances (F test; NIST/SEMATECH e-Handbook of Statistical
// Methods, 1.3.5.9).
func FindNoise(readings []gauge.Length, usual uncertainty.Scatter, step gauge.Length, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	switch {
	case len(readings) < 3:
		return Finding{}, gauge.Refused("signs.few_repeats")
	case usual.DoF < 2:
		return Finding{}, gauge.Refused("signs.little_usual")
	}
	expected, err := scatter(usual.SD, step)
	if err != nil {
		return Finding{}, err
	}
	_, sd := meanAndSD(readings)
	ratio := sd * sd / (expected * expected)
	limit := uncertainty.FQuantile(1-float64(rate), float64(len(readings)-1), float64(usual.DoF))
	return found(Noise, ratio, limit, "signs.noise", micro("by", sd/1e6), micro("usual", usual.SD*1e6)), nil
}

// FindLostResolution looks for a gauge whose last digit is always 0 or 5. Readings
// equal to the one before are left out. They must spread over at least twenty
// steps of the display, else their last digits are no sample. The statistic is the
// number of readings that are a multiple of five steps.
func FindLostResolution(readings []gauge.Length, step gauge.Length, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	if step <= 0 {
		return Finding{}, errors.New("the step of the display must be greater than 0")
	}
	if len(readings) == 0 {
		return Finding{}, gauge.Refused("signs.no_reading")
	}
	n, coarse := 0, 0
	low, high := readings[0], readings[0]
	for i, v := range readings {
		if v%step != 0 {
			return Finding{}, gauge.Refused("signs.no_multiple", gauge.Count("reading", i+1))
		}
		if i > 0 && v == readings[i-1] {
			continue
		}
		low, high = min(low, v), max(high, v)
		n++
		if v/step%5 == 0 {
			coarse++
		}
	}
	if high-low < 20*step {
		return Finding{}, gauge.Refused("signs.little_spread")
	}
	limit := least(n, 0.2, rate)
	if limit >= n {
		return Finding{}, gauge.Refused("signs.few_digits", gauge.Count("readings", n))
	}
	return found(LostResolution, float64(coarse), float64(limit), "signs.resolution", gauge.Count("readings", coarse), gauge.Count("of", n)), nil
}

// Compared is a reading with what it should be by another gauge or by the nominal size.
type Compared struct{ Shown, Expected gauge.Length }

// FindWrongUnit looks for a gauge whose unit is not the one it is taken for: it shows
// 25.4 times what it should, or a 25.4th. A point or a digit that slipped looks alike, so
// that the factor that was found is told. sd is the standard deviation of a
// reading about what it should be, in metres. A reading counts when it is nearer, by
// its ratio, to one of these than to what it should be; all that stand far
// enough from zero must count on one side. The statistic is the logarithm to base
// 10 of the probability, as a positive number, that scatter alone does this.
func FindWrongUnit(pairs []Compared, sd float64, rate Rate) (Finding, error) {
	if err := rate.check(); err != nil {
		return Finding{}, err
	}
	if !(sd > 0) || math.IsInf(sd, 0) {
		return Finding{}, errScatter
	}
	n, larger, smaller := 0, 0, 0
	var ratios []float64
	logProbability := math.Log10(2)
	for _, p := range pairs {
		expected, shown := math.Abs(float64(p.Expected)), math.Abs(float64(p.Shown))
		// Scatter must bring the reading below a fifth of what is expected, at least.
		z := expected * (1 - 1/math.Sqrt(25.4)) / (sd * 1e12)
		if z < 1 {
			continue
		}
		n++
		ratios = append(ratios, shown/expected)
		logProbability += math.Log10(math.Erfc(min(z, 37) / math.Sqrt2))
		switch ratio := shown / expected; {
		case ratio > math.Sqrt(25.4) && ratio < 25.4*math.Sqrt(25.4):
			larger++
		case ratio < 1/math.Sqrt(25.4) && ratio > 1/(25.4*math.Sqrt(25.4)):
			smaller++
		}
	}
	limit := -math.Log10(float64(rate))
	switch {
	case n == 0:
		return Finding{}, gauge.Refused("signs.near_zero")
	case -logProbability <= limit:
		return Finding{}, gauge.Refused("signs.few_for_unit", gauge.Count("readings", n))
	case larger == n:
		return found(WrongUnit, -logProbability, limit, "signs.unit_large", gauge.Count("readings", n), timesOff(uncertainty.Median(ratios))), nil
	case smaller == n:
		return found(WrongUnit, -logProbability, limit, "signs.unit_small", gauge.Count("readings", n), timesOff(1/uncertainty.Median(ratios))), nil
	}
	return Finding{Limit: limit}, nil
}

// timesOff tells a factor above 1: that of a unit or of a point that slipped, where it is near
// to one, else with one decimal.
func timesOff(factor float64) gauge.Arg {
	for _, known := range []float64{10, 25.4, 100} {
		if math.Abs(math.Log(factor/known)) < math.Log(1.2) {
			factor = known
			break
		}
	}
	digits := strconv.FormatFloat(factor, 'f', 1, 64)
	return gauge.Shown("times", strings.TrimSuffix(digits, ".0"), gauge.UnitUnknown)
}
