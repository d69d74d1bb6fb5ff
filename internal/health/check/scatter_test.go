package check

import (
	"testing"

	"gauged/internal/gauge"
)

// TestScatterLargerThanUsual: a gauge that sticks does not pass on what was stated
// of its repeatability; its own readings say how well it repeats.
func TestScatterLargerThanUsual(t *testing.T) {
	limit, step := gauge.MustLength("0.004", gauge.Millimetre), gauge.MustLength("0.001", gauge.Millimetre)
	in := Input{Ability: gauge.Ability{
		Unit: gauge.Millimetre, Error: &limit, Resolution: &step,
		Repeats: &gauge.Pooled{Deviation: gauge.MustLength("0.0005", gauge.Millimetre), Freedom: 29},
	}}
	check := func(readings ...string) PointResult {
		p := Point{Master: Master{ID: "b", Value: gauge.MustLength("10", gauge.Millimetre)}}
		for _, r := range readings {
			p.Readings = append(p.Readings, gauge.MustLength(r, gauge.Millimetre))
		}
		in.Points = []Point{p}
		return Evaluate(in).Points[0]
	}
	for _, c := range []struct {
		name     string
		readings []string
		verdict  Verdict
		larger   bool
	}{
		{"it sticks", []string{"10.007", "9.998", "10.003", "9.997", "10.005"}, Undecided, true},
		{"three readings, it sticks", []string{"10.007", "9.998", "10.001"}, Undecided, true},
		{"as usual", []string{"10.002", "10.001", "10.002", "10.003", "10.002"}, Pass, false},
		{"equal readings hide the scatter, and the usual one counts", []string{"10.002", "10.002", "10.002", "10.002", "10.002"}, Pass, false},
	} {
		if p := check(c.readings...); p.Verdict != c.verdict || p.ScatterLarger != c.larger || p.Standard == 0 {
			t.Errorf("%s: %s, larger than usual %v, standard uncertainty %g m; it should be %s, %v", c.name, p.Verdict, p.ScatterLarger, p.Standard, c.verdict, c.larger)
		}
	}
}
