package study

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
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

// TestNestedIsUnbiased: with parts and trials of unequal number, too.
func TestNestedIsUnbiased(t *testing.T) {
	s := simulate(5)
	var repeat, part, appraiser, gauge tallyOf
	for round := range 2 * studies {
		equal := round%2 == 0
		d := &Data{}
		for a, effect := range s.normals(4, 0.5) {
			parts := 5
			if !equal {
				parts = 3 + a
			}
			for p, x := range s.normals(parts, 1) {
				trials := 3
				if !equal {
					trials = 2 + (a+p)%2
				}
				for _, e := range s.normals(trials, 0.3) {
					d.Rows = append(d.Rows, Row{Appraiser: fmt.Sprint(a), Part: fmt.Sprint(p), Value: effect + x + e, Repeats: 1})
				}
			}
		}
		v, err := Nested(d, Options{Draws: 100})
		if err != nil {
			t.Fatal(err)
		}
		for name, into := range map[string]*tallyOf{Repeatability: &repeat, ByPart: &part, Reproducibility: &appraiser} {
			c, _ := v.Component(name)
			into.add(c.Estimate, c.Interval, 0)
		}
		if g, _ := v.Component(RepeatAndRepro); equal {
			gauge.add(g.Estimate, g.Interval, math.Sqrt(0.34))
		}
	}
	repeat.unbiased(t, "repeatability", 0.09)
	part.unbiased(t, "part", 1)
	appraiser.unbiased(t, "appraiser", 0.25)
	gauge.covers(t, "gauge", 0.93, 0.99)
}

// TestLevelsAreUnbiased: days and runs with the repeats taken out, of unequal
// numbers of days and repeats.
func TestLevelsAreUnbiased(t *testing.T) {
	s := simulate(6)
	var days, runs tallyOf
	for range studies {
		d := &Data{has: map[Role]bool{Day: true}}
		for part, level := range s.normals(4, 10) {
			for run, r := range s.normals(3, 0.5) {
				for day, x := range s.normals(3+(part+run)%3, 0.4) {
					for _, e := range s.normals(2+day%2, 0.3) {
						d.Rows = append(d.Rows, Row{Part: fmt.Sprint(part), Run: fmt.Sprint(run), Day: fmt.Sprint(day), Value: level + r + x + e, Repeats: 1})
					}
				}
			}
		}
		l, err := NestedLevels(d, Use{}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		g := l.Gauges[0]
		days.add(g.ByDay.Deviation*g.ByDay.Deviation, nil, 0)
		runs.add(g.ByRun.Deviation*g.ByRun.Deviation, nil, 0)
	}
	days.unbiased(t, "days", 0.16)
	runs.unbiased(t, "runs", 0.25)
}

// TestShift: readings far from 0 give the same components, to the digit.
func TestShift(t *testing.T) {
	var near, far strings.Builder
	near.WriteString("part,appraiser,value\n")
	far.WriteString("part,appraiser,value\n")
	s := simulate(7)
	for i := range 5 {
		for j := range 2 {
			for range 2 {
				n := s.IntN(1000)
				fmt.Fprintf(&near, "%d,%d,0.%04d\n", i, j, n)
				fmt.Fprintf(&far, "%d,%d,100000000000.%04d\n", i, j, n)
			}
		}
	}
	a, err := Crossed(made(t, near.String(), Part, Appraiser), Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Crossed(made(t, far.String(), Part, Appraiser), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Components {
		if a.Components[i].Estimate != b.Components[i].Estimate {
			t.Errorf("%s: %v and %v", a.Components[i].Name, a.Components[i].Estimate, b.Components[i].Estimate)
		}
	}
}

// TestCgCovers: the interval of Cg is exact.
func TestCgCovers(t *testing.T) {
	s := simulate(8)
	var cg, cgk tallyOf
	for range studies {
		d := &Data{}
		for _, e := range s.normals(25, 1) {
			d.Rows = append(d.Rows, Row{Value: e + 0.5, Error: e + 0.5, Repeats: 1})
		}
		r, err := Capability(d, Indices{}, Options{Tolerance: 40})
		if err != nil {
			t.Fatal(err)
		}
		cg.add(r.Cg, r.CgInterval, 8.0/6)
		cgk.add(r.Cgk, r.CgkInterval, 3.5/3)
	}
	cg.covers(t, "Cg", 0.93, 0.97)
	cgk.covers(t, "Cgk", 0.92, 0.98)
}
