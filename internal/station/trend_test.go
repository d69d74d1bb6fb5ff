package station

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/drift"
)

// TestTheWorstPointDecides: opposite errors do not cancel, and a zero that is right
// does not halve the error of a scale. The limit of the gauge is 4 um.
func TestTheWorstPointDecides(t *testing.T) {
	for name, c := range map[string]struct {
		zero, block string
		change      drift.Change
	}{
		"6 um up and down":              {"0.0060", "24.9940", drift.Reduced},
		"5 um at one end, none at zero": {"0.0000", "25.0050", drift.Reduced},
		"nothing":                       {"0.0000", "25.0000", drift.Extended},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			for range 2 {
				r.check("strict", r.at("strict", "zero", c.zero, c.zero), r.at("strict", "block", c.block, c.block))
				r.pass(30 * 24 * time.Hour)
			}
			h, err := r.Health("strict")
			if err != nil {
				t.Fatal(err)
			}
			advice, refused := h.Advice()
			if len(advice) == 0 || advice[0].Change != c.change {
				t.Errorf("%+v, refused %v", advice, refused)
			}
		})
	}
}

// TestTheEarliestDateIsTheGauges: one point drifts, the other stands still.
func TestTheEarliestDateIsTheGauges(t *testing.T) {
	r := newRig(t)
	for i := range 12 {
		wobble := []float64{0.0001, -0.0001, 0, 0.0001}[i%4]
		r.check("strict", r.at("strict", "zero", fmt.Sprintf("%.4f", wobble)), r.at("strict", "block", fmt.Sprintf("%.4f", 25+0.0002*float64(i)-wobble)))
		r.pass(30 * 24 * time.Hour)
	}
	reviewed, err := r.Review(t.Context(), "strict", "")
	if err != nil || reviewed.At.Point != "block" || reviewed.At.ByTime.Reach == nil || !reviewed.At.ByTime.Reach.Significant {
		t.Fatalf("%+v, %v", reviewed.At, err)
	}
	if still, err := r.Review(t.Context(), "strict", "zero"); err != nil || still.At.ByTime.Reach.Significant || len(still.Checks) != 12 {
		t.Errorf("%+v, %v", still, err)
	}
	if none, err := r.Review(t.Context(), "strict", "nowhere"); err != nil || none != nil {
		t.Errorf("%+v, %v", none, err)
	}
}

// TestUndecidedMovesNothing: a check that is undecided moves no due date, and no
// interval.
func TestUndecidedMovesNothing(t *testing.T) {
	r := newRig(t)
	r.check("strict", r.at("strict", "zero", "0.0000", "0.0001"), r.at("strict", "block", "25.0000", "25.0001"))
	h, _ := r.Health("strict")
	due := h.Due()
	r.pass(20 * 24 * time.Hour)
	c := r.check("strict", r.at("strict", "zero", "0.0000", "0.0001"), r.at("strict", "block", "25.0039", "25.0040"))
	if h, _ = r.Health("strict"); c.Result.Verdict != "undecided" || !h.Due().Equal(due) {
		t.Errorf("%s: due %v, before %v", c.Result.Verdict, h.Due(), due)
	}
	wantError(t, "start", r.startWith("strict"), "refused: the check of gauge strict was due on 2 Mar 2026: check it first")
	for _, a := range h.Trend().Advice {
		if a.Change == drift.Extended {
			t.Errorf("%+v", a)
		}
	}
}

// TestSharedUncertaintyIsNoScatter: a certificate of 2 um hides no rise of 2 um in
// checks that repeat to a tenth of one, and is in the level.
func TestSharedUncertaintyIsNoScatter(t *testing.T) {
	r := newRig(t)
	for i := range 10 {
		shown := fmt.Sprintf("%.4f", 25+0.0002*float64(i)+[]float64{0.0001, -0.0001, 0}[i%3])
		r.check("strict", r.at("strict", "rough", shown))
		r.pass(30 * 24 * time.Hour)
	}
	reviewed, err := r.Review(t.Context(), "strict", "")
	if err != nil {
		t.Fatal(err)
	}
	rate := reviewed.At.ByTime
	if rate == nil || !rate.Significant || rate.Shared < 0.99e-6 || rate.NowError < rate.Shared {
		t.Errorf("%+v, %s", rate, reviewed.At.ByTimeRefused)
	}
}

// TestAnHourLaterIsNoInterval: a check again on the same day is no interval.
func TestAnHourLaterIsNoInterval(t *testing.T) {
	r := newRig(t)
	for range 2 {
		r.check("strict", r.at("strict", "block", "25.0001"))
		r.pass(time.Hour)
		r.check("strict", r.at("strict", "block", "25.0000"))
		r.pass(30*24*time.Hour - time.Hour)
	}
	h, err := r.Health("strict")
	if err != nil {
		t.Fatal(err)
	}
	advice, refused := h.Advice()
	if len(advice) == 0 || advice[0].Unit != drift.InDays || math.Round(advice[0].Observed) != 30 || strings.Contains(gauge.Sentences(refused...).String(), "advice.one_check") {
		t.Errorf("%+v, refused %v", advice, refused)
	}
}
