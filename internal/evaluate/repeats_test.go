package evaluate

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
)

const repeated4 = `procedure: p
title: t
unit: mm
instruments:
  mic: {resolution: 0.001, error: 0.002, repeatability: {deviation: 0.001, readings: 30}}
measure:
  a: {title: a, instrument: mic, repeats: 4}
judge:
  a: {min: 9.990, max: 10.010}
`

// TestReadingsThatScatterMoreThanUsual: a stated repeatability does not hide what
// the readings themselves show.
func TestReadingsThatScatterMoreThanUsual(t *testing.T) {
	const said = "a: the readings scatter by 0.0462 mm (standard deviation), usual for this gauge is 0.001 mm. Their own scatter is used. Clean and seat the parts, check that the gauge does not stick, and read again."
	e := evaluateText(t, repeated4, "a 9.960, a 10.040, a 9.960, a 10.040")
	if got := findingOf(e, FindingScatter); e.Outcome != Undecided || got != said {
		t.Errorf("%s: %s", e.Outcome, got)
	}
	if c := e.Budgets[0].Contributions[0]; c.Source != "a: repeatability" || c.Standard != mm("0.0231") || c.Freedom != 3 {
		t.Errorf("%+v", c)
	}
	e = evaluateText(t, repeated4, "a 9.999, a 10.001, a 9.999, a 10.001")
	if got := findingOf(e, FindingScatter); e.Outcome != Conforms || got != "" || e.Budgets[0].Contributions[0].Source != "a: repeatability, pooled" {
		t.Errorf("%s: %s %+v", e.Outcome, got, e.Budgets[0].Contributions)
	}
}

// TestOneUsualScatterInSeveralLengths: it is one number that is known from three
// readings, in four lengths too: two degrees of freedom and k = 4.30 (the t table of
// JCGM 100, G.2), not eight and 2.31. Two gauges have two.
func TestOneUsualScatterInSeveralLengths(t *testing.T) {
	text := `procedure: p
title: t
unit: mm
instruments:
  one: {error: 0.0001, repeatability: {deviation: 0.005, readings: 3}}
  two: {error: 0.0001, repeatability: {deviation: 0.005, readings: 3}}
measure:
  a: {title: a, instrument: one}
  b: {title: b, instrument: one}
  c: {title: c, instrument: one}
  d: {title: d, instrument: GAUGE}
  e: {title: in no sum, instrument: two}
judge:
  total: {value: a + b + c - d, min: 19.975, max: 20.025}
`
	for instrument, want := range map[string]struct {
		freedom int
		k       string
		source  string
		least   Probability
		most    Probability
	}{
		"one": {2, "4.30", "a, b, c, d: repeatability, pooled", 8_690, 8_710},
		"two": {3, "3.18", "a, b, c: repeatability, pooled", 9_100, 9_200},
	} {
		e := evaluateText(t, strings.Replace(text, "GAUGE", instrument, 1), "a 10, b 10, c 10, d 10, e 10")
		b, j := e.Budgets[0], e.Judgements[0]
		if b.Freedom != want.freedom || b.Contributions[0].Source != want.source || b.Standard != mm("0.010") ||
			*j.Probability < want.least || *j.Probability > want.most {
			t.Errorf("%s: %+v, %s", instrument, b, j.Probability)
		}
		if got := b.K.Text(gauge.One, 2); got != want.k {
			t.Errorf("%s: k = %s, want %s", instrument, got, want.k)
		}
	}
}

// TestScatterOfExtremesIsSaid: of the smallest, the largest and the range of readings
// nothing counts for their scatter, unless the repeatability is stated.
func TestScatterOfExtremesIsSaid(t *testing.T) {
	const written = `procedure: p
title: t
unit: mm
instruments: {ind: {resolution: 0.001, error: 0.004REPEATS}}
measure: {a: {title: a, instrument: ind, repeats: 3, take: TAKE}}
gap: FORMULA
allow: {result: {min: 0.9, max: 1.1}}
`
	for _, c := range []struct{ take, formula, repeats, want string }{
		{"mean", "a", "", ""},
		{"median", "a", "", ""},
		{"smallest", "a", "", "a: the smallest of 3 readings is used, so their scatter is not part of the uncertainty. State the repeatability of the gauge."},
		{"largest", "a", "", "a: the largest of 3 readings is used, so their scatter is not part of the uncertainty. State the repeatability of the gauge."},
		{"range", "a + 1", "", "a: largest minus smallest of 3 readings is used, so their scatter is not part of the uncertainty. State the repeatability of the gauge."},
		{"mean", "1 + range(a)", "", "a: largest minus smallest of 3 readings is used, so their scatter is not part of the uncertainty. State the repeatability of the gauge."},
		{"smallest", "a", ", repeatability: {deviation: 0.002, readings: 21}", ""},
	} {
		text := strings.NewReplacer("TAKE", c.take, "FORMULA", c.formula, "REPEATS", c.repeats).Replace(written)
		e := evaluateText(t, text, "a 1.000, a 1.003, a 1.001")
		if got := findingOf(e, FindingUncounted); got != c.want {
			t.Errorf("%s of %s%s: %q", c.take, c.formula, c.repeats, got)
		}
	}
}
