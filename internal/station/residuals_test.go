package station

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"gauged/internal/gauge"
	"gauged/internal/health/jobs"
)

const um = 1e-6

// roles says which gauge measures what.
type roles struct{ depth, height, play string }

func (o roles) gauges() map[string]string {
	return map[string]string{"depth": o.depth, "height": o.height, "end_play": o.play}
}

// simulated is an invented bench of three gauges whose errors are known.
type simulated struct {
	*rig
	noise  *rand.Rand
	errors map[string]float64 // in metres
}

func newSimulated(r *rig) *simulated {
	return &simulated{rig: r, noise: rand.New(rand.NewPCG(1, 1)), errors: map[string]float64{}}
}

// take measures a length in mm with a gauge that scatters by 1 um.
func (s *simulated) take(id uint64, gaugeID string, length float64) {
	s.t.Helper()
	s.shown(id, gaugeID, fmt.Sprintf("%.4f", length+1000*(s.errors[gaugeID]+um*s.noise.NormFloat64())))
}

// unit runs a job: 25.43 - 23.70 - 1.60 = 0.13.
func (s *simulated) unit(by roles) {
	s.t.Helper()
	id := s.start(by.gauges()).ID
	s.take(id, by.depth, 25.43)
	s.take(id, by.depth, 25.43)
	s.take(id, by.height, 23.70)
	s.fit(id)
	s.take(id, by.play, 0.13)
	s.close(id, "done")
}

// days runs so many days of two jobs, in which the dial drifts by 1 um a day.
func (s *simulated) days(days int, each ...roles) {
	s.t.Helper()
	for day := range days {
		for n := range 2 {
			s.unit(each[(2*day+n)%len(each)])
		}
		s.errors["dial"] += um
		s.pass(24 * time.Hour)
	}
}

func (r *rig) workErrors() map[string]jobs.WorkError {
	r.t.Helper()
	got, err := r.WorkErrors(r.t.Context())
	if err != nil {
		r.t.Fatal(err)
	}
	return got
}

// TestWorkNamesTheGaugeThatDrifts: where the gauges change places, the jobs tell
// which one it is, and by how much it is off.
func TestWorkNamesTheGaugeThatDrifts(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	if got := r.workErrors(); len(got) != 0 {
		t.Errorf("without a job: %v", got)
	}
	s := newSimulated(r)
	s.days(36, roles{"dial", "probe", "far"}, roles{"far", "dial", "probe"}, roles{"probe", "far", "dial"})
	got := r.workErrors()
	for _, id := range []string{"dial", "probe", "far"} {
		e := got[id]
		if math.Abs(e.Error-s.errors[id]) > 3*e.Standard || e.Standard > 5*um || e.Standard <= 0 {
			t.Errorf("%s: %g, standard uncertainty %g, is off by %g", id, e.Error, e.Standard, s.errors[id])
		}
	}
	if e := got["dial"]; !e.Alarm || e.Suspects[0] != "dial" {
		t.Errorf("dial: %+v", e)
	}
	// What was followed and what is read back agree.
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	again := rigAt(t, path)
	again.pass(36 * 24 * time.Hour)
	if diff := cmp.Diff(got, again.workErrors(), cmpopts.EquateApprox(1e-3, 1e-9)); diff != "" {
		t.Errorf("after a restart:\n%s", diff)
	}
}

// TestWorkOfOneSum: gauges that are only ever compared in one sum are all suspects.
// A check of the one that drifted tells its error, and so answers the alarm.
func TestWorkOfOneSum(t *testing.T) {
	r := newRig(t)
	s := newSimulated(r)
	s.days(36, roles{"dial", "probe", "far"})
	got := r.workErrors()
	for _, id := range []string{"dial", "probe", "far"} {
		e := got[id]
		slices.Sort(e.Suspects)
		if !e.Alarm || strings.Join(e.Suspects, " ") != "dial far probe" {
			t.Errorf("%s: %+v", id, e)
		}
	}
	off := fmt.Sprintf("%.4f", 1000*s.errors["dial"])
	r.checkDial(off, "25"+strings.TrimPrefix(off, "0"))
	got = r.workErrors()
	if e := got["dial"]; e.Alarm || math.Abs(e.Error-s.errors["dial"]) > um || e.Standard > 1.1*um {
		t.Errorf("after its check: %+v", e)
	}
	if got["probe"].Alarm || got["far"].Alarm { // it was the dial, and that explains it all
		t.Errorf("the others: %+v", got)
	}
}

// TestResidualOfAJob: what one job says, by hand. Measured is 0.150, predicted
// mean(25.430, 25.440) - 23.700 - 1.600 = 0.135, or 0.138 with a part of 1.597.
func TestResidualOfAJob(t *testing.T) {
	const scatter, part, seating = 3 * um, 5 * um, 3 * um
	for _, c := range []struct {
		name      string
		by        map[string]string
		thickness string
		want      jobs.Residual
	}{
		{
			"three gauges",
			map[string]string{"depth": "dial", "height": "probe", "end_play": "far"},
			"",
			jobs.Residual{
				Value: 0.150e-3 - 0.135e-3, Sigma: math.Sqrt(scatter*scatter*(0.5+1+1) + part*part + seating*seating),
				Terms: []jobs.Term{{Gauge: "dial", Coefficient: -1, Uses: 2}, {Gauge: "probe", Coefficient: 1, Uses: 1}, {Gauge: "far", Coefficient: 1, Uses: 1}},
			},
		},
		{
			"one gauge on both sides, which cancels, a typed height, a measured part",
			map[string]string{"depth": "dial", "end_play": "dial"},
			"1.597",
			jobs.Residual{},
		},
		{
			"typed but for the play",
			map[string]string{"end_play": "far"},
			"1.597",
			jobs.Residual{
				Value: 0.150e-3 - 0.138e-3, Sigma: math.Sqrt(scatter*scatter*(0.5+1+1+1) + seating*seating),
				Terms: []jobs.Term{{Gauge: "far", Coefficient: 1, Uses: 1}},
			},
		},
		{"all typed", nil, "", jobs.Residual{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			s := newSimulated(r)
			id := r.start(c.by).ID
			for _, one := range []struct{ step, shown string }{{"depth", "25.430"}, {"depth", "25.440"}, {"height", "23.700"}, {"end_play", "0.150"}} {
				if one.step == "end_play" {
					if _, err := r.Fit(t.Context(), FitRequest{Job: id, Part: "R160", Thickness: c.thickness, Unit: gauge.Millimetre}); err != nil {
						t.Fatal(err)
					}
				}
				s.shown(id, c.by[one.step], one.shown)
			}
			j := r.job(id)
			got, says, err := j.Residual()
			if err != nil || says != (len(c.want.Terms) > 0) {
				t.Fatal(got, says, err)
			}
			if !says {
				return
			}
			if !got.Time.Equal(j.Spoke) || got.Time.Before(j.Started) || got.Time.IsZero() {
				t.Errorf("time %v", got.Time)
			}
			got.Time = time.Time{}
			if diff := cmp.Diff(c.want, got, cmpopts.EquateApprox(1e-9, 0)); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// shown takes a reading of a gauge, or types it in where there is none.
func (s *simulated) shown(id uint64, gaugeID, shown string) {
	s.t.Helper()
	switch gaugeID {
	case "":
		s.enter(id, shown)
	case "probe":
		s.Report(Report{State: &gauge.StateChange{Gauge: gaugeID, Time: s.clock(), State: gauge.StateLive}})
		s.press(gaugeID, shown, gauge.Millimetre)
		if _, _, err := s.Capture(s.t.Context(), CaptureRequest{Job: id}); err != nil {
			s.t.Fatal(err)
		}
	default:
		s.press(gaugeID, shown, gauge.Millimetre)
	}
}
