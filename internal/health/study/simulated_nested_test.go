package study

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

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
