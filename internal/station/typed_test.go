package station

import (
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

func typed(shown ...string) (all []TypedReading) {
	for _, one := range shown {
		all = append(all, TypedReading{one, gauge.Millimetre})
	}
	return all
}

// TestTypedCheck: the check of a gauge without a connection keeps its readings in
// the history, with who read them, and gives standing as any other.
func TestTypedCheck(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	c, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "micrometer", By: "quality",
		Found: []CheckPoint{{Master: "block", Typed: typed("25.009", "25.008")}}, Left: []CheckPoint{{Master: "block", Typed: typed("25.009")}},
	})
	if err != nil || c.Result.Verdict != check.Fail || c.Left == nil {
		t.Fatalf("%+v, %v", c, err)
	}
	readings, err := r.store.Readings(t.Context(), "micrometer", 0, 10)
	if err != nil || len(readings) != 3 || readings[1].Reading.Shown != "25.008" || readings[1].Reading.EnteredBy != "quality" || readings[1].Seq != c.Points[0].Seqs[1] {
		t.Errorf("%+v, %v", readings, err)
	}
	wantError(t, "a job", r.startWith("micrometer"), "refused: gauge micrometer is suspect: its check of 1 Mar 2026 failed")
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	wantError(t, "after a restart", r.startWith("micrometer"), "refused: gauge micrometer is suspect: its check of 1 Mar 2026 failed")
	if n := r.since("micrometer"); n != 0 {
		t.Errorf("%d readings since the check", n)
	}
}

// TestTypedMeasurement: what is typed for a measurement that is bound to a gauge
// without a connection is that gauge's reading, and its standing counts.
func TestTypedMeasurement(t *testing.T) {
	r := newRig(t)
	j := r.start(map[string]string{"depth": "micrometer"})
	if len(j.Abilities) != 1 || len(j.Typed) != 1 || j.Typed[0] != "micrometer" {
		t.Errorf("what is known of the gauge in the job: %+v, %q", j.Abilities, j.Typed)
	}
	enter := func(instrument string) (string, error) {
		_, f, err := r.Enter(t.Context(), EnterRequest{Job: j.ID, Shown: "25.40", Unit: gauge.Millimetre, Instrument: instrument})
		if err != nil {
			return "", err
		}
		return f.Reading.Gauge, nil
	}
	for instrument, want := range map[string]string{"": "micrometer", "micrometer": "micrometer", "old rule": "typed: old rule"} {
		if got, err := enter(instrument); err != nil || got != want {
			t.Errorf("%q is kept under %q, %v; want %q", instrument, got, err, want)
		}
		if _, err := r.Discard(t.Context(), j.ID, 0, "again", ""); err != nil {
			t.Fatal(err)
		}
	}
	_, _, err := r.Capture(t.Context(), CaptureRequest{Job: j.ID})
	wantError(t, "a capture", err, "refused: gauge micrometer has no connection; type in what it shows")
	if _, err := r.SetStanding(t.Context(), "micrometer", health.Away, "at the laboratory", "quality"); err != nil {
		t.Fatal(err)
	}
	_, err = enter("")
	wantError(t, "not here", err, "refused: gauge micrometer is out for calibration: at the laboratory: take another gauge")
	if h, _ := r.Health("micrometer"); h.Use.SinceCheck() != 1 || r.since("micrometer") != 2 {
		t.Errorf("%d jobs, %d readings", h.Use.SinceCheck(), r.since("micrometer"))
	}
}

func TestTypedCheckRefusals(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		gauge string
		typed TypedReading
		want  string
	}{
		{"strict", TypedReading{"25.000", gauge.Millimetre}, "wrong input: at master block: gauge strict sends its readings: take them from it, so that its line is checked too"},
		{"micrometer", TypedReading{"25,000", gauge.Millimetre}, `wrong input: at master block: "25,000" is not a length: the decimal sign must be a point, not a comma`},
		{"micrometer", TypedReading{"25.000", gauge.UnitUnknown}, `wrong input: at master block: "25.000" needs a unit of length: mm, in or um`},
		{"micrometer", TypedReading{"25", gauge.Newton}, `wrong input: at master block: "25" needs a unit of length: mm, in or um`},
	} {
		_, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: c.gauge, By: "q", Found: []CheckPoint{{Master: "block", Typed: []TypedReading{c.typed}}}})
		wantError(t, c.gauge+" "+c.typed.Shown, err, c.want)
	}
	if readings, err := r.store.Readings(t.Context(), "micrometer", 0, 10); err != nil || len(readings) != 0 {
		t.Errorf("a refused check left %d readings, %v", len(readings), err)
	}
}
