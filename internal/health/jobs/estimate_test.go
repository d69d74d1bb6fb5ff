package jobs

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

func estimate(t *testing.T, m Model, residuals []Residual, anchors []Anchor, until time.Time) Site {
	t.Helper()
	site, err := Estimate(m, residuals, anchors, until)
	if err != nil {
		t.Fatal(err)
	}
	return site
}

func (s Site) track(t *testing.T, gauge string) Track {
	t.Helper()
	i := slices.IndexFunc(s.Tracks, func(track Track) bool { return track.Gauge == gauge })
	if i < 0 {
		t.Fatalf("no track of gauge %s", gauge)
	}
	return s.Tracks[i]
}

// TestOneSumOnly: two gauges that only ever occur in one sum are not told
// apart, and a master check of one tells both.
func TestOneSumOnly(t *testing.T) {
	m := DefaultModel()
	var residuals []Residual
	for day := range 60 {
		residuals = append(residuals, Residual{
			Time: began.AddDate(0, 0, day), Value: 4 * um, Sigma: um,
			Terms: []Term{{"verify", 1, 1}, {"depth", -1, 1}},
		})
	}
	until := began.AddDate(0, 0, 60)
	site := estimate(t, m, residuals, nil, until)
	for _, track := range site.Tracks {
		if sigma := track.last().Sigma; sigma < 0.7*m.Start {
			t.Errorf("gauge %s is said to be known to %g without any master check", track.Gauge, sigma)
		}
	}
	if len(site.Combinations) != 1 {
		t.Fatalf("%d combinations, want 1", len(site.Combinations))
	}
	c := site.Combinations[0]
	if c.Sigma > 0.7*um || math.Abs(c.Value-4*um) > 3*c.Sigma {
		t.Errorf("the sum is %g with sigma %g", c.Value, c.Sigma)
	}
	site = estimate(t, m, residuals, []Anchor{{Time: until, Gauge: "depth", Error: 1 * um, Sigma: 0.3 * um}}, until)
	last := site.track(t, "verify").last()
	if math.Abs(last.Error-5*um) > 3*last.Sigma || last.Sigma > um {
		t.Errorf("after the master check of the other gauge the error is %g with sigma %g, want 5 um", last.Error, last.Sigma)
	}
	if len(site.Combinations) != 0 {
		t.Errorf("the gauges are told apart, and still there is the combination %v", site.Combinations)
	}
}

// TestDriftIsBlamed: a gauge that occurs in its own way is blamed alone; one
// of two that only occur together is not, until a master check acquits the other.
func TestDriftIsBlamed(t *testing.T) {
	for _, c := range []struct {
		drifts     string
		checkEvery int
		suspects   []string
	}{
		{"depth-1", 0, []string{"depth-1"}},
		{"play", 0, []string{"play", "thickness"}},
		{"play", 30, []string{"play"}},
	} {
		s := aBench(90)
		s.checkEvery = c.checkEvery
		s.fault = drift(c.drifts, 40, um)
		residuals, anchors, _ := s.run(5)
		site := estimate(t, s.model, residuals, anchors, s.end())
		if len(site.Alarms) == 0 {
			t.Errorf("%s drifts and there is no alarm", c.drifts)
			continue
		}
		a := site.Alarms[0]
		if names := suspects(a); !slices.Equal(names, c.suspects) {
			t.Errorf("%s drifts, checks every %d days: suspects are %v, want %v", c.drifts, c.checkEvery, names, c.suspects)
		}
		if day := a.Since.Sub(began).Hours() / 24; math.Abs(day-40) > 7 {
			t.Errorf("%s drifts since day 40, the onset found is day %.1f", c.drifts, day)
		}
		for _, x := range a.Suspects {
			if x.Shape != Ramp || math.Abs(math.Abs(x.Size)-um) > 4*x.Sigma {
				t.Errorf("%s drifts 1 um a day: found a %s of %g with sigma %g", c.drifts, x.Shape, x.Size, x.Sigma)
			}
		}
	}
}

func suspects(a Alarm) []string {
	var names []string
	for _, x := range a.Suspects {
		names = append(names, x.Gauge)
	}
	slices.Sort(names)
	return names
}

// drift is a fault that begins on a day and grows each day.
func drift(gauge string, begin, perDay float64) func(string, float64) float64 {
	return func(g string, day float64) float64 {
		if g != gauge {
			return 0
		}
		return max(0, day-begin) * perDay
	}
}

// TestErrorsAreWithinTheirUncertainty: over many healthy and faulty fleets the
// estimates miss the truth by as much as they say.
func TestErrorsAreWithinTheirUncertainty(t *testing.T) {
	for _, c := range []struct {
		name        string
		fault       func(string, float64) float64
		least, most float64
	}{
		{"healthy", nil, 0.9, 1.1},
		{"one drifts", drift("depth-1", 40, um), 0.8, 1.3},
	} {
		squares, n := 0.0, 0
		for seed := range uint64(60) {
			s := aBench(80)
			s.checkEvery, s.fault = 30, c.fault
			residuals, anchors, errors := s.run(seed)
			site := estimate(t, s.model, residuals, anchors, s.end())
			for _, track := range site.Tracks {
				for _, p := range track.Points[:len(track.Points)-1] {
					off := (p.Error - errors[track.Gauge][int(p.Time.Sub(began).Hours()/24)]) / p.Sigma
					squares, n = squares+off*off, n+1
				}
			}
		}
		if rms := math.Sqrt(squares / float64(n)); rms < c.least || rms > c.most {
			t.Errorf("%s: errors are %.3f of their standard uncertainty, want %g to %g", c.name, rms, c.least, c.most)
		}
	}
}

// TestBadSeats: one job in twenty is off by up to 100 um. With Huber's weight
// no gauge is blamed and the errors stay small; without it they do not.
func TestBadSeats(t *testing.T) {
	worst := func(clip float64) (off float64, alarms int) {
		for seed := range uint64(10) {
			s := aBench(80)
			s.checkEvery, s.badSeats = 30, 0.05
			residuals, anchors, errors := s.run(seed)
			m := s.model
			m.Clip = clip
			site := estimate(t, m, residuals, anchors, s.end())
			alarms += len(site.Alarms)
			for _, track := range site.Tracks {
				off = max(off, math.Abs(track.last().Error-errors[track.Gauge][s.days-1]))
			}
		}
		return off, alarms
	}
	robust, alarms := worst(DefaultModel().Clip)
	plain, _ := worst(1e6)
	if robust > 6*um || plain < 1.5*robust {
		t.Errorf("errors are off by %g with Huber's weight, by %g without", robust, plain)
	}
	if alarms > 1 {
		t.Errorf("%d alarms in 10 healthy benches with bad seats", alarms)
	}
}

// TestRestart: a gauge that was set anew is not held to its earlier error.
func TestRestart(t *testing.T) {
	m := DefaultModel()
	check := func(day int, e float64, restart bool) Anchor {
		return Anchor{Time: began.AddDate(0, 0, day), Gauge: "dial", Error: e, Sigma: um, Restart: restart}
	}
	site := estimate(t, m, nil, []Anchor{check(0, 8*um, false), check(30, 9*um, false), check(30, 0, true)}, began.AddDate(0, 0, 31))
	points := site.track(t, "dial").Points
	if p := points[1]; math.Abs(p.Error-9*um) > 1.5*um {
		t.Errorf("before it was set the error is %g, want about 9 um", p.Error)
	}
	if p := points[2]; math.Abs(p.Error) > um {
		t.Errorf("after it was set the error is %g, want about 0", p.Error)
	}
	if len(site.Alarms) != 0 {
		t.Errorf("setting a gauge raised an alarm: %v", site.Alarms)
	}
}

// TestOrderDoesNotMatter: entries may come in any order.
func TestOrderDoesNotMatter(t *testing.T) {
	s := aBench(40)
	s.checkEvery = 15
	residuals, anchors, _ := s.run(8)
	a := estimate(t, s.model, residuals, anchors, s.end())
	slices.Reverse(residuals)
	slices.Reverse(anchors)
	b := estimate(t, s.model, residuals, anchors, s.end())
	for i, track := range a.Tracks {
		if last, other := track.last(), b.Tracks[i].last(); math.Abs(last.Error-other.Error) > 1e-12 || last.Time != other.Time {
			t.Errorf("gauge %s: %v in order, %v in reverse", track.Gauge, last, other)
		}
	}
}

func TestRefused(t *testing.T) {
	now := began.AddDate(0, 0, 1)
	good := Residual{Time: began, Terms: []Term{{"a", 1, 1}}, Value: 0, Sigma: um}
	check := Anchor{Time: began, Gauge: "a", Sigma: um}
	for _, c := range []struct {
		change func(m *Model, r *Residual, a *Anchor)
		want   string
	}{
		{func(_ *Model, r *Residual, _ *Anchor) { r.Terms = nil }, "residual 0: it names no gauge"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Value = math.NaN() }, "residual 0: its value is not a finite number"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Sigma = 0 }, "residual 0: its standard deviation must be greater than 0"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Time = now.Add(1) }, "residual 0: it is later than the time of the estimate"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Terms = []Term{{"a", 1, 1}, {"", 1, 1}} }, "residual 0: term 1 names no gauge"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Terms = []Term{{"a", 1, 1}, {"a", -1, 1}} }, "residual 0: gauge a has two terms: add up their coefficients"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Terms = []Term{{"a", 0, 1}} }, "residual 0: the coefficient of gauge a must be a finite number other than 0"},
		{func(_ *Model, r *Residual, _ *Anchor) { r.Terms = []Term{{"a", 1, -1}} }, "residual 0: gauge a cannot be used -1 times"},
		{func(_ *Model, _ *Residual, a *Anchor) { a.Gauge = "" }, "master check 0: it names no gauge"},
		{func(_ *Model, _ *Residual, a *Anchor) { a.Error = math.Inf(1) }, "master check 0 of gauge a: its error is not a finite number"},
		{func(_ *Model, _ *Residual, a *Anchor) { a.Sigma = -1 }, "master check 0 of gauge a: its uncertainty must be greater than 0"},
		{func(_ *Model, _ *Residual, a *Anchor) { a.Time = now.Add(1) }, "master check 0 of gauge a: it is later than the time of the estimate"},
		{func(m *Model, _ *Residual, _ *Anchor) { m.Start = 0 }, "the model's start is 0: it must be at least 1e-12"},
		{func(m *Model, _ *Residual, _ *Anchor) { m.Quiet = 1 }, "the model's quiet time is 1: it must be at least 10"},
	} {
		m, r, a := DefaultModel(), good, check
		c.change(&m, &r, &a)
		if _, err := Estimate(m, []Residual{r}, []Anchor{a}, now); err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// TestClusters: each residual is in one cluster that has all its gauges, and no
// cluster is too large.
func TestClusters(t *testing.T) {
	s := aBench(30)
	s.benches, s.jobsPerDay, s.shared = 40, 100, true
	residuals, _, _ := s.run(1)
	all := clusters(links(residuals), maxGroup)
	if len(all) < 10 {
		t.Errorf("only %d clusters", len(all))
	}
	seen := map[int]int{}
	for _, c := range all {
		if len(c.gauges) > maxGroup {
			t.Errorf("a cluster has %d gauges", len(c.gauges))
		}
		for _, i := range c.residuals {
			seen[i]++
			for _, term := range residuals[i].Terms {
				if !c.gauges[term.Gauge] {
					t.Errorf("residual %d is in a cluster without gauge %s", i, term.Gauge)
				}
			}
		}
	}
	for i := range residuals {
		if seen[i] != 1 {
			t.Fatalf("residual %d is in %d clusters", i, seen[i])
		}
	}
	site := estimate(t, s.model, residuals, nil, s.end())
	for _, track := range site.Tracks {
		if strings.HasPrefix(track.Gauge, "store-") && len(track.Points) == 0 {
			t.Errorf("gauge %s has no points", track.Gauge)
		}
	}
	if want := 40*4 + 2; len(site.Tracks) != want {
		t.Errorf("%d gauges, want %d", len(site.Tracks), want)
	}
}
