package doubt

import (
	"math"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestModelFollowsSlopes: near the estimates the model that is drawn through has
// the slopes of the budget, through values, tables, roundings, statistics of
// readings and shared errors.
func TestModelFollowsSlopes(t *testing.T) {
	const text = `procedure: p
title: t
unit: mm
instruments: {one: {error: 0.006, varies: 0.002}, protractor: {unit: deg, error: 0.1}}
measure:
  a: {title: a, instrument: one, repeats: 3}
  b: {title: b, instrument: one, misaligned: 1}
  t: {title: t, unit: deg, instrument: protractor}
constants: {k: {value: 3, tolerance: 0.01}}
tables:
  chart: {mode: interpolate, by: {x: mm}, unit: mm, rows: {10: 1, 20: 4, 40: 6}}
values:
  v: a*b/k
  w: v + sqrt(v*k) - mean(v, k)
gap: FORMULA
allow: {result: {min: 0}}
`
	for _, written := range []string{
		"w + a", "v*b/a + w", "largest(a) + b*cos(t)", "range(a)*b/k + smallest(a, 2*b, v)", "median(a, b, k, v) + abs(a - 2*b)",
		"round(a, 0.5)*b/k + up(b, 1)", "v*v/w/sin(t + t) + tan(t)*a", "sqrt(a*a + b*b) - sqrt(a*b)", "w*w/(v + w)",
		"chart(a) * b/k", "v + chart(v/4) + chart(a)",
	} {
		p, err := procedure.Read("p.yaml", []byte(strings.Replace(text, "FORMULA", written, 1)), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		j := compute.New(p, compute.Input{})
		j.TakeConstants()
		for name, readings := range map[string][]string{"a": {"17.21", "17.24", "17.25"}, "b": {"12.33"}, "t": {"31"}} {
			s, _, _ := p.Step(name)
			var all []gauge.Length
			for _, shown := range readings {
				all = append(all, gauge.MustLength(shown, s.Unit))
			}
			j.V.Of[name], j.V.Readings[name] = formula.Exact(compute.Taken(s, all), s.Unit), formula.Readings{Of: all, Unit: s.Unit}
		}
		for _, n := range p.Values {
			x, _ := j.Formula(n)
			if j.V.Of[n.Name], err = x.Compute(&j.V); err != nil {
				t.Fatal(err)
			}
		}
		c := New(j).inputs(p.Gap)
		if !c.of.bends || len(c.inputs) < 4 {
			t.Fatalf("%s: %d inputs, bends %v", written, len(c.inputs), c.of.bends)
		}
		m := c.modelOf(p.Gap, 1)
		x := make([]float64, len(c.inputs))
		if off := m(x); off != 0 {
			t.Errorf("%s: %g where nothing deviates", written, off)
		}
		for i, in := range c.inputs {
			h := in.Standard * 1e-3
			x[i] = h
			up := m(x)
			x[i] = -h
			got := (up - m(x)) / (2 * h)
			x[i] = 0
			if math.Abs(got-c.slopes[i]) > 1e-5*(1+math.Abs(c.slopes[i])) {
				t.Errorf("%s: slope by %s is %g in the model, %g in the budget", written, in.Name, got, c.slopes[i])
			}
		}
	}
}
