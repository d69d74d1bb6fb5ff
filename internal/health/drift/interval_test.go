package drift

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
)

func TestStaircase(t *testing.T) { // ILAC-G24 / OIML D 10, 6.2; the factors are ours
	rule := UsualRule()
	for _, c := range []struct {
		found, u float64
		change   Change
		next     float64
		reasons  string
	}{
		{7.9, 0, Extended, 125, "the error as found is within 80 % of the limit; the uncertainty of the check is not stated and counts as 0"},
		{-8, 0, Extended, 125, "the error as found is within 80 % of the limit; the uncertainty of the check is not stated and counts as 0"},
		{7.9, 0.04, Extended, 125, "the error as found with its uncertainty is within 80 % of the limit"},
		{7.9, 0.06, Kept, 100, "the error as found is inside the limit, but with its uncertainty not within 80 % of it"},
		{-10, 0.06, Kept, 100, "the error as found is inside the limit, but with its uncertainty not within 80 % of it"},
		{-10.1, 0.06, Reduced, 70, "the error as found is outside the limit"},
	} {
		a, err := rule.Staircase(Check{Found: c.found, Uncertainty: c.u}, 100, 10)
		if err != nil || a.Change != c.change || a.Next != c.next || strings.Join(allTold(a.Reasons), "; ") != c.reasons {
			t.Errorf("%g with %g: %+v, %v", c.found, c.u, a, err)
		}
	}
}

func TestIntervalByDrift(t *testing.T) { // ILAC-G24 / OIML D 10, 6.3; the bounds are ours
	l := Line{Rate: 0.1, RateError: 0.01, DoF: 10, Centre: 50, Level: 2, LevelError: 0.2, SD: 0.5}
	crossing := l.Leaves(10, 60, 1000, 0.95) - 60
	for _, c := range []struct {
		mpe, observed float64
		change        Change
		next          float64
	}{
		{10, 2 * crossing, Reduced, crossing},
		{10, 0.8 * crossing, Extended, crossing},
		{10, 10, Extended, 20},
		{2, 10, Now, 0},
	} {
		a, err := UsualRule().ControlChart(l, 60, c.observed, c.mpe)
		if err != nil || a.Change != c.change || len(a.Reasons) == 0 {
			t.Errorf("limit %g, observed %g: %+v, %v", c.mpe, c.observed, a, err)
		}
		near(t, "interval", a.Next, c.next, 1e-6)
	}
	l.RateError = 0.06
	a, _ := UsualRule().ControlChart(l, 60, 10, 100)
	if last := told(a.Reasons[len(a.Reasons)-1]); !strings.HasPrefix(last, "the rate is not significant") {
		t.Errorf("%q", a.Reasons)
	}
}

func TestIntervalRefuses(t *testing.T) {
	for want, by := range map[string][2]float64{
		"an interval is advised from two checks on: there is no interval between the checks yet": {0, 1},
		"an interval is advised for a limit: give the maximum permissible error, above 0":        {1, 0},
	} {
		_, err := UsualRule().Staircase(Check{}, by[0], by[1])
		_, other := UsualRule().ControlChart(Line{DoF: 3}, 0, by[0], by[1])
		if err == nil || told(gauge.Told(err)) != want || other == nil || told(gauge.Told(other)) != want {
			t.Errorf("%v, %v, want %s", err, other, want)
		}
	}
}
