package station

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/library"
)

func TestAWholeJob(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	id := r.start(map[string]string{"depth": "dial", "end_play": "dial"}).ID

	r.press("dial", "25.430", gauge.Millimetre)
	r.press("dial", "25.440", gauge.Millimetre)
	if j := r.job(id); j.Measuring != "height" || j.Stage != job.StageMeasure {
		t.Fatalf("stage %s, measuring %q", j.Stage, j.Measuring)
	}
	j := r.enter(id, "23.700")
	if j.Stage != job.StageChoose || j.Evaluation.Choice == nil || j.Evaluation.Choice.Part != "R160" {
		t.Fatalf("stage %s, choice %+v", j.Stage, j.Evaluation.Choice)
	}
	if j, _ = r.Choose(ctx, ChooseRequest{Job: id}); j.Stage != job.StageFit || j.Chosen[""] != "R160" {
		t.Fatalf("stage %s, chosen %q", j.Stage, j.Chosen)
	}
	if j, _ = r.Fit(ctx, FitRequest{Job: id, Thickness: "1.597", Unit: gauge.Millimetre}); j.Stage != job.StageVerify || j.Measuring != "end_play" {
		t.Fatalf("stage %s, measuring %q", j.Stage, j.Measuring)
	}
	r.press("dial", "0.140", gauge.Millimetre)
	if j = r.job(id); j.Stage != job.StageDecided || j.Evaluation.Outcome != "conforms" {
		t.Fatalf("stage %s, outcome %s", j.Stage, j.Evaluation.Outcome)
	}
	if j, err := r.Verify(ctx, id, ""); err != nil || !j.Verified {
		t.Fatalf("verified %v, %v", j, err)
	}
	if j, err := r.CloseJob(ctx, id, "", ""); err != nil || j.Stage != job.StageClosed {
		t.Fatalf("closed %v, %v", j, err)
	}
	want := "started taken taken taken verdict chosen fitted verdict taken verdict verified closed"
	if got := r.kinds(id); got != want {
		t.Errorf("facts %s, want %s", got, want)
	}
	if _, _, err := r.Enter(ctx, EnterRequest{Job: id, Shown: "1", Unit: gauge.Millimetre}); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("a closed job took a value: %v", err)
	}
	if j := r.job(id); j.Evaluation.Outcome != "conforms" || j.Closed.IsZero() {
		t.Errorf("the closed job loads as %s", j.Evaluation.Outcome)
	}
	replay, err := r.ReplayVerdicts(ctx, 0)
	if err != nil || replay.Jobs != 1 || replay.Verdicts != 3 || len(replay.Differences) != 0 {
		t.Errorf("replay %+v, %v", replay, err)
	}
}

// TestPackIsChosenAndFitted: where pieces may be stacked, the pack's name
// stands for it.
func TestPackIsChosenAndFitted(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), strings.Replace(testProcedure, "method: middle", "method: middle, pack: {least: 2, most: 2}", 1))
	ctx := t.Context()
	id := r.start(nil).ID
	for _, shown := range []string{"28.43", "28.43", "25.28"} {
		r.enter(id, shown)
	}
	if _, err := r.Choose(ctx, ChooseRequest{Job: id, Part: "R150 + R155"}); err == nil || said(err) != "wrong input: R150 + R155 is not the recommended part (R150 + R150); say why it is taken" {
		t.Errorf("another pack without a reason: %v", err)
	}
	j, err := r.Choose(ctx, ChooseRequest{Job: id})
	if err != nil || j.Chosen[""] != "R150 + R150" {
		t.Fatalf("chosen %q, %v", j.Chosen, err)
	}
	pack := j.Evaluation.Pack
	if j, err = r.Fit(ctx, FitRequest{Job: id}); err != nil {
		t.Fatal(err)
	}
	if f := j.Evaluation.Fitted; f.Part != pack.Name() || *f.Thickness != pack.Thickness {
		t.Errorf("fitted %+v, the pack is %s", f, pack.Name())
	}
	if j = r.enter(id, "0.14"); j.Evaluation.Outcome != "conforms" {
		t.Errorf("outcome %s, %v", j.Evaluation.Outcome, j.Evaluation.Findings)
	}
}

// TestFittingAgainBeginsTheProofAnew: readings of the first proof do not count
// for the second part.
func TestFittingAgainBeginsTheProofAnew(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	id := r.start(nil).ID
	for _, shown := range []string{"25.43", "25.43", "23.70"} {
		r.enter(id, shown)
	}
	if _, err := r.Fit(ctx, FitRequest{Job: id, Part: "R150"}); err != nil {
		t.Fatal(err)
	}
	if j := r.enter(id, "0.23"); j.Evaluation.Outcome != "does not conform" {
		t.Fatalf("outcome %s", j.Evaluation.Outcome)
	}
	j, err := r.Fit(ctx, FitRequest{Job: id, Part: "R160"})
	if err != nil || j.Stage != job.StageVerify || j.Measuring != "end_play" {
		t.Fatalf("stage %s, %v", j.Stage, err)
	}
	if j := r.enter(id, "0.13"); j.Evaluation.Outcome != "conforms" || *j.Evaluation.Verification.Predicted != gauge.MustLength("0.13", gauge.Millimetre) {
		t.Errorf("outcome %s, verification %+v", j.Evaluation.Outcome, j.Evaluation.Verification)
	}
}

func TestRefusals(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	id := r.start(map[string]string{"depth": "dial", "end_play": "probe"}).ID
	capture := func(q CaptureRequest) error { _, _, err := r.Capture(ctx, q); return err }
	enter := func(q EnterRequest) error { _, _, err := r.Enter(ctx, q); return err }
	number := func(_ *job.Job, err error) error { return err }
	cases := []struct {
		name string
		err  error
		kind error
		want string
	}{
		{"no procedure", number(r.StartJob(ctx, StartRequest{Procedure: "x", UnitSerial: "1", Technician: "t"})), gauge.ErrNotFound, `not found: there is no procedure "x": there are ring`},
		{"no unit", number(r.StartJob(ctx, StartRequest{Procedure: "ring", Technician: "t"})), gauge.ErrInput, "wrong input: a job needs the serial number of the unit"},
		{"no technician", number(r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "1"})), gauge.ErrInput, "wrong input: a job needs the name of the technician"},
		{"unknown gauge", number(r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"depth": "x"}})), gauge.ErrNotFound, `not found: there is no gauge "x": there are clock, dial, each, far, fresh, micrometer, pedal, probe, remote, strict, sweep`},
		{"unknown measurement", number(r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"width": "dial"}})), gauge.ErrInput, `wrong input: procedure ring has no measurement "width"`},
		{"button in two jobs", number(r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"*": "dial"}})), gauge.ErrRefused, "refused: the button of gauge dial feeds job 1 (unit U-7), which is still open; close it or set it aside first"},
		{"capture from a button", capture(CaptureRequest{Job: id}), gauge.ErrRefused, "refused: gauge dial sends at the press of its button; press it"},
		{"capture without gauge", capture(CaptureRequest{Job: id, Measurement: "height"}), gauge.ErrRefused, "refused: height has no gauge in job 1; type the value in"},
		{"capture from an absent gauge", capture(CaptureRequest{Job: id, Gauge: "probe"}), gauge.ErrRefused, "refused: gauge probe is not plugged in for 18 ms"},
		{"comma", enter(EnterRequest{Job: id, Shown: "25,4", Unit: gauge.Millimetre}), gauge.ErrInput, `wrong input: "25,4" is not a length: the decimal sign must be a point, not a comma`},
		{"no unit typed", enter(EnterRequest{Job: id, Shown: "25.4"}), gauge.ErrInput, `wrong input: depth: "25.4" has no unit: write it as 25.4 mm, 25.4 in or 25.4 um`},
		{"wrong unit", enter(EnterRequest{Job: id, Shown: "1.001", Unit: gauge.Inch}), gauge.ErrRefused, "refused: 1.001 in was not taken: procedure ring measures in millimetres only; switch the gauge to millimetres and read again, or use a gauge that shows millimetres"},
		{"torque typed for a length", enter(EnterRequest{Job: id, Shown: "0.35", Unit: gauge.NewtonMetre}), gauge.ErrRefused, "refused: 0.35 N m was not taken: depth is a length in mm"},
		{"number typed for a length", enter(EnterRequest{Job: id, Shown: "12", Unit: gauge.One}), gauge.ErrRefused, "refused: 12 was not taken: depth is a length in mm"},
		{"too large a torque", enter(EnterRequest{Job: id, Shown: "1000001", Unit: gauge.NewtonMetre}), gauge.ErrRefused, "refused: 1000001 N m was not taken: depth is a length in mm"},
		{"verify before fitting", enter(EnterRequest{Job: id, Measurement: "end_play", Shown: "0.1", Unit: gauge.Millimetre}), gauge.ErrRefused, "refused: the reading 0.1 mm of typed was not taken: end_play is measured after fitting; record the fitted part first"},
		{"discard nothing", number(r.Discard(ctx, id, 0, "slipped", "")), gauge.ErrRefused, "refused: job 1 has no reading that counts"},
		{"discard without reason", number(r.Discard(ctx, id, 0, " ", "")), gauge.ErrInput, "wrong input: a reading is discarded with a reason, such as: not seated"},
		{"choose too early", number(r.Choose(ctx, ChooseRequest{Job: id})), gauge.ErrRefused, "refused: job 1 is not measured yet; measure before a part is fitted"},
		{"fit too early", number(r.Fit(ctx, FitRequest{Job: id, Part: "R150"})), gauge.ErrRefused, "refused: job 1 is not measured yet; measure before a part is fitted"},
		{"thickness in a unit of torque", number(r.Fit(ctx, FitRequest{Job: id, Part: "R150", Thickness: "1.5", Unit: gauge.NewtonMetre})), gauge.ErrInput, "wrong input: thickness 1.5 N m: N m is no unit of length but of a torque; use mm, in or um"},
		{"verify too early", number(r.Verify(ctx, id, "")), gauge.ErrRefused, "refused: job 1 has no verdict yet: measure depth"},
		{"close unfinished", number(r.CloseJob(ctx, id, "", "")), gauge.ErrInput, "wrong input: job 1 is not finished (measure depth); give a reason to close it"},
		{"no job", number(r.Verify(ctx, 99, "")), gauge.ErrNotFound, "not found: there is no job 99"},
	}
	for _, c := range cases {
		if !errors.Is(c.err, c.kind) || said(c.err) != c.want {
			t.Errorf("%s: got %v\nwant %s", c.name, c.err, c.want)
		}
	}
	if got := r.kinds(id); got != "started" {
		t.Errorf("a refusal left facts: %s", got)
	}
}

func TestCaptureFromAStream(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	id := r.start(map[string]string{"*": "probe"}).ID
	r.Report(Report{State: &gauge.StateChange{Gauge: "probe", Time: r.clock(), State: gauge.StateLive}})
	if _, _, err := r.Capture(ctx, CaptureRequest{Job: id}); err == nil || said(err) != "refused: gauge probe has not sent a reading yet" {
		t.Errorf("got %v", err)
	}
	r.press("probe", "25.430", gauge.Millimetre)
	r.press("probe", "25.431", gauge.Millimetre)
	j, f, err := r.Capture(ctx, CaptureRequest{Job: id})
	if err != nil || f.Reading.Shown != "25.431" || len(j.Taken) != 1 {
		t.Fatalf("captured %+v, %v", f.Reading, err)
	}
	if _, _, err := r.Capture(ctx, CaptureRequest{Job: id}); err == nil || said(err) != "refused: the reading 25.431 mm of probe was not taken: it was taken already; wait for the next one" {
		t.Errorf("the same reading twice: %v", err)
	}
	r.press("probe", "25.432", gauge.Millimetre)
	r.mu.Lock()
	r.now = r.now.Add(2 * time.Second)
	r.mu.Unlock()
	if _, _, err := r.Capture(ctx, CaptureRequest{Job: id}); err == nil || said(err) != "refused: the last reading of gauge probe is 2 s old; look at its cable and battery" {
		t.Errorf("an old reading: %v", err)
	}
}

// TestNoticeOfReadingsThatAreNotTaken: a button pressed at the wrong moment, on
// the wrong gauge or in the wrong unit is stored, not taken, and said.
func TestNoticeOfReadingsThatAreNotTaken(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{"depth": "dial", "height": "far"}).ID
	r.press("dial", "0.985", gauge.Inch)
	if got := told(r.job(id).Notice); got != "0.985 in was not taken: procedure ring measures in millimetres only; switch the gauge to millimetres and read again, or use a gauge that shows millimetres" {
		t.Errorf("notice %q", got)
	}
	r.press("far", "23.700", gauge.Millimetre)
	if got := told(r.job(id).Notice); got != "the reading 23.700 mm of far was not taken: depth is measured with dial" {
		t.Errorf("notice %q", got)
	}
	r.press("dial", "25.430", gauge.Millimetre)
	if j := r.job(id); told(j.Notice) != "" || len(j.Taken) != 1 {
		t.Errorf("notice %q after a good reading, %d taken", told(j.Notice), len(j.Taken))
	}
}

// TestFailedCommitLosesNothing: a command is answered with the store's error, a
// gauge's reading waits and is stored when the store works again.
func TestFailedCommitLosesNothing(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	id := r.start(map[string]string{"depth": "dial"}).ID
	full := errors.New("the disk is full")
	r.store.setFail(full)
	newest := r.Newest()
	r.Report(Report{Reading: &gauge.Reading{Gauge: "dial", Time: r.clock(), Value: gauge.MustLength("25.43", gauge.Millimetre), Shown: "25.43", Unit: gauge.Millimetre, Status: gauge.StatusOK}})
	if _, err := r.CloseJob(ctx, id, "trial", ""); !errors.Is(err, full) {
		t.Fatalf("got %v", err)
	}
	if j := r.job(id); r.Newest() != newest || len(j.Taken) != 0 || !j.Closed.IsZero() {
		t.Fatal("something was published that is not durable")
	}
	r.store.setFail(nil)
	page, err := r.Watch(newest).Next(ctx)
	if err != nil || len(page.Facts) != 2 || page.Facts[0].Reading.Shown != "25.43" || page.Facts[1].Job.Kind != job.KindTaken {
		t.Fatalf("page %+v, %v", page, err)
	}
}

// TestRestartGoesOn: every acknowledged reading is there after a restart, and
// the job goes on where it was.
func TestRestartGoesOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	id := r.start(map[string]string{"depth": "dial"}).ID
	r.press("dial", "25.43", gauge.Millimetre)
	before := r.job(id)
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	again := rigAt(t, path)
	after := again.job(id)
	if string(after.Evaluated) != string(before.Evaluated) || after.Measuring != "depth" || after.LastSeq != before.LastSeq || after.Technician != "tech" {
		t.Errorf("before %+v\nafter %+v", before, after)
	}
	again.press("dial", "25.44", gauge.Millimetre)
	if got := again.job(id).Measuring; got != "height" {
		t.Errorf("measuring %q", got)
	}
	if f := again.Gauges()[0].Last; f.Reading.Number != 2 {
		t.Errorf("the second reading of dial has number %d", f.Reading.Number)
	}
}

func TestWatchers(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	begin := r.Newest()
	for i := range 3 * 8192 / 100 { // further than memory reaches
		var batch []Ingested
		for k := range 100 {
			batch = append(batch, Ingested{SourceSeq: uint64(100*i + k + 1), Gauge: "far", Shown: "1.000", Unit: gauge.Millimetre, Status: gauge.StatusOK})
		}
		if _, err := r.Ingest(ctx, "bench", batch); err != nil {
			t.Fatal(err)
		}
	}
	want := begin
	for c := r.Watch(begin); want < r.Newest(); {
		page, err := c.Next(ctx)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range page.Facts {
			if want++; f.Seq != want {
				t.Fatalf("fact %d where %d was expected", f.Seq, want)
			}
		}
	}
	skipping := r.Watch(begin)
	skipping.Skip = true
	page, err := skipping.Next(ctx)
	if err != nil || page.GapFirst != begin+1 || page.GapLast != r.Newest() || len(page.Facts) != 0 {
		t.Errorf("gap %d to %d with %d facts, %v", page.GapFirst, page.GapLast, len(page.Facts), err)
	}
	ctx, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := r.Watch(r.Newest()).Next(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("waiting without facts: %v", err)
	}
}

func TestIngestOnce(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	send := func(from, to uint64) (uint64, []Refused) {
		t.Helper()
		var batch []Ingested
		for seq := from; seq <= to; seq++ {
			batch = append(batch, Ingested{SourceSeq: seq, Gauge: "far", Shown: fmt.Sprintf("%d.5", seq), Unit: gauge.Millimetre, Status: gauge.StatusOK})
		}
		receipt, err := r.Ingest(ctx, "bench", batch)
		if err != nil {
			t.Fatal(err)
		}
		return receipt.Through, receipt.Refused
	}
	if through, err := r.Resume(ctx, "bench"); through != 0 || err != nil {
		t.Fatalf("resume at %d, %v", through, err)
	}
	send(1, 5)
	if through, refused := send(3, 8); through != 8 || len(refused) != 0 {
		t.Errorf("durable through %d, refused %v", through, refused)
	}
	if n := r.Gauges()[2].Readings; n != 8 {
		t.Errorf("%d readings stored, sent were 8", n)
	}
	receipt, err := r.Ingest(ctx, "bench", []Ingested{
		{SourceSeq: 9, Gauge: "dial", Shown: "1", Unit: gauge.Millimetre},
		{SourceSeq: 10, Gauge: "far", Shown: "1"},
		{SourceSeq: 11, Gauge: "far", Shown: "1,5", Unit: gauge.Millimetre},
		{SourceSeq: 12, Gauge: "far", Shown: "0.35", Unit: gauge.DegreeCelsius},
		{SourceSeq: 13, Gauge: "far", Shown: "1.5", Unit: gauge.Millimetre},
	})
	want := map[uint64]string{
		9:  `this station has no gauge "dial" that is fed from outside`,
		10: "the reading has no unit; say which, such as mm or N m",
		11: `"1,5" is not a length: the decimal sign must be a point, not a comma`,
		12: "degC is the unit of a temperature; a gauge sends a length, a force, a torque or an angle",
	}
	refused := map[uint64]string{}
	for _, one := range receipt.Refused {
		refused[one.SourceSeq] = told(one.Reason)
	}
	if err != nil || receipt.Through != 13 || !maps.Equal(refused, want) {
		t.Errorf("through %d, refused %v, %v", receipt.Through, receipt.Refused, err)
	}
	if seq, err := r.store.SourceSeq(ctx, "bench"); seq != 13 || err != nil {
		t.Errorf("the history has the sender through %d, %v", seq, err)
	}
}

func TestLibraryProblems(t *testing.T) {
	_, err := library.New(context.Background().Err,
		[]library.Source{{Path: "a.yaml", Content: []byte(testProcedure)}, {Path: "b.yaml", Content: []byte(testProcedure)}, {Path: "c.yaml", Content: []byte("procedure: c\n")}},
		[]library.Source{{Path: "d.yaml", Content: []byte(strings.Replace(testParts, "rings", "other", 1))}},
	)
	want := `a.yaml:1:1: procedure ring: there is no part family "rings": there are other
b.yaml:1:12: the procedure id "ring" is taken, see a.yaml:1:12
c.yaml:1:1: "title" is missing
c.yaml:1:1: "unit" is missing
c.yaml:1:1: "gap" is missing`
	if err == nil || said(err) != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

func TestStoppedStation(t *testing.T) {
	r := newRig(t)
	r.stop()
	if _, err := r.CloseJob(t.Context(), 1, "x", ""); !errors.Is(err, gauge.ErrStopped) {
		t.Errorf("got %v", err)
	}
	r.Report(Report{State: &gauge.StateChange{Gauge: "dial"}}) // must not block
}
