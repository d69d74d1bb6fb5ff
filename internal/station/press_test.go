package station

import (
	"errors"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// TestPressOfAGauge: the button of a gauge that measures in no job is for the one
// that is open.
func TestPressOfAGauge(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "probe"}).ID
	press := Press{From: "floor", Means: gauge.MeansNext, Gauges: []string{"floor"}}
	err := r.Press(t.Context(), press)
	j, failed := r.Job(t.Context(), id)
	if err == nil || failed != nil || !strings.HasPrefix(told(j.Notice), "floor: ") {
		t.Fatalf("%v, %v; the job says %q", err, failed, told(j.Notice))
	}
	r.start(nil)
	err = r.Press(t.Context(), press)
	if want := "refused: floor was pressed, but more than one job is open: use a foot switch, which can name the gauges of its bench"; err == nil || said(err) != want {
		t.Errorf("%v", err)
	}
}

// TestAJobByFoot: captures, a discarded reading, and every step that needs no
// more than a nod.
func TestAJobByFoot(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "probe"}).ID
	press := func(means gauge.Meaning) *job.Job {
		t.Helper()
		if err := r.Press(t.Context(), Press{From: "pedal", Means: means}); err != nil {
			t.Fatal(err)
		}
		j, err := r.Job(t.Context(), id)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	capture := func(shown string) *job.Job {
		t.Helper()
		r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.o.Now(), State: gauge.StateLive}})
		r.press("probe", shown, gauge.Millimetre)
		return press(gauge.MeansCapture)
	}
	capture("25.43")
	capture("25.93")
	if j := press(gauge.MeansDiscard); j.Taken[1].Discarded != "discarded with pedal" {
		t.Errorf("discarded: %q", j.Taken[1].Discarded)
	}
	capture("25.43")
	if j := capture("23.70"); j.Stage != job.StageChoose {
		t.Fatalf("stage %s", j.Stage)
	}
	if j := press(gauge.MeansNext); j.Stage != job.StageVerify || j.Chosen[""] == "" {
		t.Fatalf("stage %s, chosen %q", j.Stage, j.Chosen)
	}
	err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansNext})
	if want := "refused: job 1 cannot go on: measure end play"; !errors.Is(err, gauge.ErrRefused) || said(err) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if j, _ := r.Job(t.Context(), id); told(j.Notice) != "pedal: job 1 cannot go on: measure end play" {
		t.Errorf("notice %q", told(j.Notice))
	}
	if j := capture("0.18"); j.Stage != job.StageDecided {
		t.Fatalf("stage %s", j.Stage)
	}
	// Where people prove who they are, a press signs nothing: a foot has no name.
	r.o.Proven = true
	err = r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansNext})
	if j, _ := r.Job(t.Context(), id); err == nil || said(err) != "refused: job 1 has its verdict: sign it on the page, where you say who you are" || j.Verified {
		t.Errorf("signed %t: %v", j.Verified, err)
	}
	r.o.Proven = false
	if j := press(gauge.MeansNext); !j.Verified || j.Technician != "tech" || j.Stage != job.StageClosed {
		t.Errorf("stage %s, signed %t", j.Stage, j.Verified)
	}
	err = r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansNext})
	if want := "refused: pedal was pressed, but no job is open"; err == nil || said(err) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

// TestAPressFitsNoOtherPart: what a key would ask about, a press does not record: a
// settled part that is not the recommended one is fitted by hand, and the job says so.
func TestAPressFitsNoOtherPart(t *testing.T) {
	r := newRig(t)
	ctx, id := t.Context(), r.start(nil).ID
	for _, shown := range []string{"25.43", "25.43", "23.70"} {
		if _, err := r.typed(id, shown, gauge.Millimetre); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "R150", Reason: "the last one"}); err != nil {
		t.Fatal(err)
	}
	err := r.Press(ctx, Press{From: "pedal", Means: gauge.MeansNext})
	j, failed := r.Job(ctx, id)
	if failed != nil || !errors.Is(err, gauge.ErrRefused) || j.Stage != job.StageFit || len(j.Fitted) != 0 {
		t.Fatalf("%v, %v, stage %s, fitted %+v", err, failed, j.Stage, j.Fitted)
	}
	if want := "pedal: is it fitted all the same? R150 of 1.500 mm would leave play 0.230 mm; allowed is play 0.100 to 0.200 mm. It does not fit. Recommended is R160. Say it by hand: a press does not answer that"; told(j.Notice) != want {
		t.Errorf("got  %s\nwant %s", told(j.Notice), want)
	}
	if j, err = r.Fit(ctx, FitRequest{Job: id}); err != nil || j.Stage != job.StageVerify {
		t.Errorf("by hand: %v, %v", j, err)
	}
}

// TestABadVerdictIsSignedByHand: a foot does not sign that a unit does not conform.
func TestABadVerdictIsSignedByHand(t *testing.T) {
	r := newRig(t)
	id := r.start(nil).ID
	for _, shown := range []string{"25.43", "25.43", "23.70"} {
		r.enter(id, shown)
	}
	if _, err := r.Fit(t.Context(), FitRequest{Job: id}); err != nil {
		t.Fatal(err)
	}
	r.enter(id, "0.25")
	err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansNext})
	if err == nil || !strings.HasSuffix(said(err), "that is signed by hand") {
		t.Errorf("got %v", err)
	}
	if j, _ := r.Job(t.Context(), id); j.Verified {
		t.Error("it is signed")
	}
}

// TestWhichJobAPressIsFor: with two jobs open, the switch serves that of its bench.
func TestWhichJobAPressIsFor(t *testing.T) {
	r := newRig(t)
	left, right := r.start(map[string]string{"depth": "dial"}).ID, r.start(map[string]string{"depth": "probe"}).ID
	r.enter(left, "25.43")
	r.enter(right, "25.43")
	err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansDiscard})
	if want := `refused: pedal was pressed, but more than one job is open: name the gauges of its bench under "gauges" in its definition`; err == nil || said(err) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansDiscard, Gauges: []string{"far", "probe"}}); err != nil {
		t.Error(err)
	}
	l, _ := r.Job(t.Context(), left)
	o, _ := r.Job(t.Context(), right)
	if l.Taken[0].Discarded != "" || o.Taken[0].Discarded == "" {
		t.Errorf("discarded %q and %q", l.Taken[0].Discarded, o.Taken[0].Discarded)
	}
	if err := r.Press(t.Context(), Press{From: "pedal", Means: gauge.MeansDiscard, Gauges: []string{"far"}}); err == nil || said(err) != "refused: pedal was pressed, but no job with far is open" {
		t.Errorf("got %v", err)
	}
}

// TestDataButtonForSomethingElse: its reading is stored and in no job.
func TestDataButtonForSomethingElse(t *testing.T) {
	r := newRig(t)
	r.Station.mu.Lock()
	r.Station.gauges["dial"].Press = gauge.MeansNext
	r.Station.mu.Unlock()
	id := r.start(map[string]string{AnyMeasurement: "dial"}).ID
	r.press("dial", "25.43", gauge.Millimetre)
	if _, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"depth": "pedal"}}); err == nil || said(err) != "wrong input: pedal is a foot switch and measures nothing" {
		t.Errorf("a job measured with a foot switch: %v", err)
	}
	if j := r.job(id); len(j.Taken) != 0 || told(j.Notice) != "" {
		t.Errorf("taken %v, notice %q", j.Taken, told(j.Notice))
	}
}
