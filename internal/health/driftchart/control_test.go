package driftchart

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/health/drift"
)

// The errors of these tests are invented.
func reviewed(t *testing.T, errors ...float64) (*drift.Review, []drift.Check) {
	t.Helper()
	var checks []drift.Check
	for i, e := range errors {
		checks = append(checks, drift.Check{Time: time.Date(2025, 1, 1+i, 0, 0, 0, 0, time.UTC), Found: e})
	}
	left := 0.0
	checks[2].Left = &left // no range goes over an adjustment
	r, err := drift.NewReview(checks, drift.Options{Charts: drift.ChartSettings{Lambda: 0.2, Width: 2.962}})
	if err != nil {
		t.Fatal(err)
	}
	return r, checks
}

func TestControlChart(t *testing.T) {
	r, checks := reviewed(t, 1, 2, 1, 1, 0, 1, 0, 1, 0, 1, 0, 90, 90)
	w := ControlWords{
		Title: "T", Value: "value", High: "high", Low: "low", Centre: "centre", Upper: "upper", Lower: "lower", Signal: "signal",
		Number: func(x float64) string { return fmt.Sprintf("%.3f", x) }, Day: func(at time.Time) string { return at.Format(time.DateOnly) },
	}
	for _, c := range []struct {
		name   string
		points []int // of each series
		lines  string
	}{
		{Individuals, []int{13, 2}, "upper|centre 0.444|lower"},
		{EWMA, []int{11, 2}, "upper|centre 0.444|lower"},
		{CUSUM, []int{11, 11, 2}, "upper|"},
	} {
		drawn, ok := ControlChart(c.name, r, checks, w)
		if !ok {
			t.Fatal(c.name)
		}
		var points []int
		for _, m := range drawn.Marks {
			points = append(points, len(m.Points))
		}
		if fmt.Sprint(points) != fmt.Sprint(c.points) {
			t.Errorf("%s: %v points, want %v", c.name, points, c.points)
		}
		last := drawn.Marks[len(drawn.Marks)-1]
		if last.Name != "signal" || last.Points[0].X != 12 {
			t.Errorf("%s points at %+v", c.name, last)
		}
		for i, want := range strings.Split(c.lines, "|") {
			if name := drawn.Lines[i].Name; !strings.HasPrefix(name, want) || want == "" && name != "" {
				t.Errorf("%s: line %d is %q, want %q", c.name, i, name, want)
			}
		}
	}
	if _, ok := ControlChart("pie", r, checks, w); ok {
		t.Error("there is no such chart")
	}
	few, checks := reviewed(t, 1, 1, 1)
	if _, ok := ControlChart(CUSUM, few, checks, w); ok {
		t.Error("there is nothing to compare with yet")
	}
}
