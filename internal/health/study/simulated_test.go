package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// truth are the standard deviations of a simulated study.
type truth struct{ part, appraiser, interaction, repeat float64 }

// simulator makes studies with a seeded generator.
type simulator struct{ *rand.Rand }

func simulate(seed uint64) simulator { return simulator{rand.New(rand.NewPCG(seed, 1))} }

func (s simulator) normals(n int, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = sd * s.NormFloat64()
	}
	return x
}

// crossed returns a crossed study; kept tells which readings are in it.
func (s simulator) crossed(w truth, parts, appraisers, trials int, kept func(part, appraiser, trial int) bool) *Data {
	p, a := s.normals(parts, w.part), s.normals(appraisers, w.appraiser)
	d := &Data{File: "simulated.csv"}
	for i := range parts {
		for j := range appraisers {
			both := w.interaction * s.NormFloat64()
			for k := range trials {
				x := p[i] + a[j] + both + w.repeat*s.NormFloat64()
				if kept == nil || kept(i, j, k) {
					d.Rows = append(d.Rows, Row{Part: fmt.Sprint(i), Appraiser: fmt.Sprint(j), Value: x, Repeats: 1})
				}
			}
		}
	}
	return d
}

// tallyOf counts how often intervals hold the truth, and adds estimates up.
type tallyOf struct {
	studies, covered, sum, squares float64
}

func (c *tallyOf) add(estimate float64, i *Interval, truth float64) {
	c.studies++
	c.sum += estimate
	c.squares += estimate * estimate
	if i != nil && i.Low <= truth && truth <= i.High {
		c.covered++
	}
}

// unbiased fails when the mean of the estimates is more than 4 standard errors
// from the truth.
func (c *tallyOf) unbiased(t *testing.T, what string, truth float64) {
	t.Helper()
	mean := c.sum / c.studies
	se := math.Sqrt((c.squares/c.studies - mean*mean) / c.studies)
	if math.Abs(mean-truth) > 4*se {
		t.Errorf("%s: mean estimate %.5g +- %.2g, truth %.5g", what, mean, se, truth)
	}
}

func (c *tallyOf) covers(t *testing.T, what string, low, high float64) {
	t.Helper()
	if rate := c.covered / c.studies; rate < low || rate > high {
		t.Errorf("%s: the 95 %% interval holds the truth in %.1f %% of studies", what, 100*rate)
	}
}

const studies = 1500

// TestCrossedIntervalsCover: with known components the intervals hold them in
// about 95 of 100 studies, and the estimates are unbiased.
func TestCrossedIntervalsCover(t *testing.T) {
	w := truth{part: 1, appraiser: 0.4, interaction: 0.25, repeat: 0.3}
	variances := map[string]float64{
		Repeatability: 0.09, ByAppraiser: 0.16, Interaction: 0.0625, ByPart: 1,
		Reproducibility: 0.2225, RepeatAndRepro: 0.3125, Total: 1.3125,
	}
	s := simulate(1)
	found := map[string]*tallyOf{}
	for name := range variances {
		found[name] = &tallyOf{}
	}
	share := &tallyOf{}
	for i := range studies {
		c, err := crossedCells(s.crossed(w, 10, 4, 3, nil))
		if err != nil {
			t.Fatal(err)
		}
		v := &Variation{Parts: 10, Appraisers: 4, Trials: 3}
		v.balanced(c, Options{Confidence: 0.95, Spread: 6, PoolAbove: 1, Draws: 2000})
		for _, c := range v.Components {
			found[c.Name].add(c.Estimate, c.Interval, math.Sqrt(variances[c.Name]))
			if c.Name == RepeatAndRepro && i < 400 {
				share.add(c.StudyVariation, c.StudyInterval, 100*math.Sqrt(0.3125/1.3125))
			}
		}
	}
	for name, truth := range variances {
		found[name].unbiased(t, name, truth)
		found[name].covers(t, name, 0.93, 0.985)
	}
	share.covers(t, "share of the gauge", 0.92, 0.99)
}

// TestUnequalCellsAreUnbiased: a tenth of the readings is missing, and whole
// cells with it; the means of the estimates are still the truth.
func TestUnequalCellsAreUnbiased(t *testing.T) {
	w := truth{part: 1, appraiser: 0.5, interaction: 0.4, repeat: 0.3}
	kept := func(part, appraiser, trial int) bool {
		return !(part == 2 && appraiser == 1) && !(part == 5 && appraiser == 0) && (part+2*appraiser+3*trial)%7 != 0
	}
	s := simulate(2)
	var repeat, part, appraiser, interaction tallyOf
	for range 4000 {
		d := s.crossed(w, 8, 3, 3, kept)
		c, err := crossedCells(d)
		if err != nil {
			t.Fatal(err)
		}
		sums, err := sequentialSums(c)
		if err != nil {
			t.Fatal(err)
		}
		e, err := henderson(c, sums, false)
		if err != nil {
			t.Fatal(err)
		}
		repeat.add(sums.repeatability.Mean, sums.repeatability.square().interval(0.95), 0.09)
		part.add(e[0], nil, 1)
		appraiser.add(e[1], nil, 0.25)
		interaction.add(e[2], nil, 0.16)
	}
	repeat.unbiased(t, "repeatability", 0.09)
	repeat.covers(t, "repeatability", 0.935, 0.965)
	part.unbiased(t, "part", 1)
	appraiser.unbiased(t, "appraiser", 0.25)
	interaction.unbiased(t, "interaction", 0.16)
}

// TestInteractionTestKeepsItsLevel: without an interaction the exact test of
// unequal cells finds one as often as its level says.
func TestInteractionTestKeepsItsLevel(t *testing.T) {
	kept := func(part, appraiser, trial int) bool { return (part+appraiser+2*trial)%5 != 0 }
	s := simulate(3)
	below := 0
	for range studies {
		c, err := crossedCells(s.crossed(truth{part: 2, appraiser: 1, repeat: 0.3}, 8, 3, 3, kept))
		if err != nil {
			t.Fatal(err)
		}
		sums, err := sequentialSums(c)
		if err != nil {
			t.Fatal(err)
		}
		sums.interaction.against(sums.repeatability)
		if sums.interaction.F.P < 0.25 {
			below++
		}
	}
	if rate := float64(below) / studies; math.Abs(rate-0.25) > 4*math.Sqrt(0.25*0.75/studies) {
		t.Errorf("%.1f %% of tests are below 25 %%", 100*rate)
	}
}

// TestUnequalIsBalancedWhenEqual: Henderson's method gives the balanced study's
// components when cells are equal.
func TestUnequalIsBalancedWhenEqual(t *testing.T) {
	s := simulate(4)
	for range 50 {
		c, err := crossedCells(s.crossed(truth{1, 0.5, 0.3, 0.2}, 6, 3, 2, nil))
		if err != nil {
			t.Fatal(err)
		}
		for _, above := range []float64{1e-12, 1} { // always pooled, never pooled
			equal, unequal := &Variation{Parts: 6, Appraisers: 3, Trials: 2, PoolAbove: above}, &Variation{}
			o := Options{Confidence: 0.95, Spread: 6, PoolAbove: above, Draws: 100}
			equal.balanced(c, o)
			if err := unequal.unbalanced(c, o); err != nil {
				t.Fatal(err)
			}
			for _, want := range equal.Components {
				got, ok := unequal.Component(want.Name)
				if !ok || math.Abs(got.Estimate-want.Estimate) > 1e-10 {
					t.Errorf("%s: %v, balanced %v", want.Name, got.Estimate, want.Estimate)
				}
			}
		}
	}
}
