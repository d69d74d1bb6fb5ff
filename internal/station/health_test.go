package station

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// begins begins a check of a gauge.
func (r *rig) begins(gaugeID string) health.Begun {
	r.t.Helper()
	b, err := r.BeginCheck(r.t.Context(), gaugeID, "quality", []string{"zero"}, health.BegunData{})
	if err != nil {
		r.t.Fatal(err)
	}
	return b
}

// at stores readings of a gauge, in a check that it begins where none is, and
// returns them as a point of it.
func (r *rig) at(gaugeID, masterID string, shown ...string) CheckPoint {
	r.t.Helper()
	if h, err := r.Health(gaugeID); err == nil {
		if _, err := h.Session(gaugeID, 0, r.clock()); err != nil {
			r.begins(gaugeID)
		}
	}
	p := CheckPoint{Master: masterID}
	for _, one := range shown {
		r.pressAtOnce(gaugeID, one, gauge.Millimetre)
		g := r.Gauges()
		for _, status := range g {
			if status.ID == gaugeID {
				p.Readings = append(p.Readings, status.Last.Seq)
			}
		}
	}
	return p
}

func (r *rig) check(gaugeID string, found ...CheckPoint) *check.Record {
	r.t.Helper()
	c, err := r.RecordCheck(r.t.Context(), CheckRequest{Gauge: gaugeID, By: "quality", Found: found})
	if err != nil {
		r.t.Fatal(err)
	}
	return c
}

// TestMasterCheck: a check is stored with everything that it follows from, and a
// gauge that fails is out of new jobs until a check passes.
func TestMasterCheck(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	start := func() error {
		_, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"depth": "strict"}})
		return err
	}
	if err := start(); err == nil || said(err) != "refused: gauge strict was never checked against a master: check it first" {
		t.Errorf("before a check: %v", err)
	}
	c := r.check("strict", r.at("strict", "zero", "0.000", "0.001"), r.at("strict", "block", "25.002"))
	if c.Result.Verdict != check.Pass || c.Result.Worst.Error != gauge.MustLength("0.002", gauge.Millimetre) {
		t.Errorf("%+v", c.Result)
	}
	if err := start(); err != nil {
		t.Errorf("after a check: %v", err)
	}
	r.pass(25 * time.Hour)
	if err := start(); err == nil || said(err) != "refused: the check of gauge strict was due on 2 Mar 2026: check it first" {
		t.Errorf("overdue: %v", err)
	}
	if c := r.check("strict", r.at("strict", "block", "25.009")); c.Result.Verdict != check.Fail {
		t.Errorf("%+v", c.Result)
	}
	if err := start(); err == nil || said(err) != "refused: gauge strict is suspect: its check of 2 Mar 2026 failed" {
		t.Errorf("after a failed check: %v", err)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	if err := start(); err == nil || said(err) != "refused: gauge strict is suspect: its check of 2 Mar 2026 failed" {
		t.Errorf("after a restart: %v", err)
	}
	r.pass(48 * time.Hour)
	adjusted, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "strict", By: "quality", Occasion: "after repair",
		Found: []CheckPoint{r.at("strict", "block", "25.009")}, Left: []CheckPoint{r.at("strict", "block", "25.000")},
	})
	if err != nil || adjusted.Left.Verdict != check.Pass {
		t.Fatalf("%+v, %v", adjusted, err)
	}
	if err := start(); err != nil {
		t.Errorf("after an adjustment: %v", err)
	}
	all, err := r.Checks(t.Context(), "strict")
	if err != nil || len(all) != 3 || all[2].Occasion != "after repair" || all[2].Result.Verdict != check.Fail {
		t.Errorf("%d checks, %v", len(all), err)
	}
}

// TestDueCheckWarns: where the plan does not block, the job says it.
func TestDueCheckWarns(t *testing.T) {
	r := newRig(t)
	j := r.start(map[string]string{"depth": "dial"})
	wantWarnings(t, "at its start", j, "gauge dial was never checked against a master")
}

func TestCheckRefusals(t *testing.T) {
	r := newRig(t)
	good := r.at("dial", "zero", "0.000", "0.000")
	cases := []struct {
		name string
		give CheckRequest
		kind error
		want string
	}{
		{"nobody", CheckRequest{Gauge: "dial", Found: []CheckPoint{good}}, gauge.ErrInput, "wrong input: a check needs the name of who made it"},
		{"no gauge", CheckRequest{Gauge: "x", By: "q"}, gauge.ErrNotFound, `not found: there is no gauge "x": there are clock, dial, each, far, fresh, micrometer, pedal, probe, remote, strict, sweep`},
		{"nothing", CheckRequest{Gauge: "dial", By: "q"}, gauge.ErrInput, "wrong input: a check needs readings at a master"},
		{"no master", CheckRequest{Gauge: "dial", By: "q", Found: []CheckPoint{{Master: "x"}}}, gauge.ErrNotFound, `not found: there is no master "x"`},
		{"no reading", CheckRequest{Gauge: "dial", By: "q", Found: []CheckPoint{{Master: "zero"}}}, gauge.ErrInput, "wrong input: there are no readings at master zero"},
		{"another's reading", CheckRequest{Gauge: "probe", By: "q", Found: []CheckPoint{good}}, gauge.ErrInput, fmt.Sprintf("wrong input: reading %d is of dial, not of probe", good.Readings[0])},
		{"master that is due", CheckRequest{Gauge: "dial", By: "q", Found: []CheckPoint{{Master: "old", Readings: good.Readings}}}, gauge.ErrRefused, "refused: the calibration of master old was due on 1 Jan 2026: take another, or have it calibrated"},
	}
	for _, c := range cases {
		if _, err := r.RecordCheck(t.Context(), c.give); !errors.Is(err, c.kind) || said(err) != c.want {
			t.Errorf("%s:\n got %v\nwant %s", c.name, err, c.want)
		}
	}
}

func TestStanding(t *testing.T) {
	r := newRig(t)
	if _, err := r.SetStanding(t.Context(), "probe", health.Away, "at the laboratory", "quality"); err != nil {
		t.Fatal(err)
	}
	_, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"depth": "probe"}})
	if err == nil || said(err) != "refused: gauge probe is out for calibration: at the laboratory" {
		t.Errorf("got %v", err)
	}
	if _, err := r.SetStanding(t.Context(), "probe", health.InService, "back, certificate 7", "quality"); err != nil {
		t.Fatal(err)
	}
	r.start(map[string]string{"depth": "probe"})
	for _, c := range []struct {
		standing   health.Standing
		reason, by string
		want       string
	}{
		{"broken", "x", "q", `wrong input: "broken" is no standing; it is in service, suspect, out for calibration or retired`},
		{health.Suspect, "", "q", "wrong input: say why gauge probe is suspect"},
		{health.Suspect, "fell down", "", "wrong input: say who changes the standing"},
	} {
		if _, err := r.SetStanding(t.Context(), "probe", c.standing, c.reason, c.by); err == nil || said(err) != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

// TestDriftIsFollowed: the rate, the date of the limit and the charts follow from
// the checks, one after the other.
func TestDriftIsFollowed(t *testing.T) {
	r := newRig(t)
	for i := range 40 {
		shown := fmt.Sprintf("%.4f", 25+0.00005*float64(i)+[]float64{0.0002, -0.0002, 0.0001, -0.0001, 0}[i%5])
		r.check("strict", r.at("strict", "block", shown))
		r.pass(24 * time.Hour)
	}
	h, err := r.Health("strict")
	if err != nil || h.Checks != 40 {
		t.Fatal(h, err)
	}
	worst := h.Trend().Worst()
	rate := worst.ByTime
	if rate == nil || !rate.Significant || rate.Rate < 10e-9 || rate.Reach == nil || !rate.Reach.Significant {
		t.Fatalf("rate %+v, %s", rate, worst.ByTimeRefused)
	}
	if early, late := worst.Date(rate.Reach.Early), worst.Date(rate.Reach.X); !early.Before(late) || early.Before(r.clock()) {
		t.Errorf("the limit is reached from %v on, at %v", early, late)
	}
	if now := h.ChartNow(); !now["CUSUM"] || len(now) != 2 {
		t.Errorf("charts %v", now)
	}
}

// TestCheckThatKnowsNothing: one reading of a gauge of which nothing is known
// decides nothing.
func TestCheckThatKnowsNothing(t *testing.T) {
	r := newRig(t)
	limit := gauge.MustLength("0.004", gauge.Millimetre)
	r.Station.mu.Lock()
	r.Station.gauges["far"].Ability.Error = &limit
	r.Station.gauges["far"].Outside = false
	r.Station.mu.Unlock()
	_, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "far", By: "q", Found: []CheckPoint{r.at("far", "zero", "0.001")}})
	if want := "wrong input: nothing is known of how well gauge far repeats: take several readings at each master, or state its resolution in the configuration"; err == nil || said(err) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
