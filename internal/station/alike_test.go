package station

import (
	"errors"
	"testing"
	"time"

	"gauged/internal/gauge"
)

func (r *rig) startOn(serial string, confirmed bool) error {
	_, err := r.StartJob(r.t.Context(), StartRequest{Procedure: "ring", UnitSerial: serial, Technician: "tech", Confirmed: confirmed})
	return err
}

// TestAskedBack: a serial number that looks like that of a unit that was worked on is asked
// about once; a known one and the next one are not.
func TestAskedBack(t *testing.T) {
	r := newRig(t)
	must(t, r.startOn("SC-0042", false))
	for _, serial := range []string{"sc 0042", "SC-0043", "AX-0042"} {
		must(t, r.startOn(serial, false))
	}
	err := r.startOn("SC-OO42", false)
	if want := "refused: did you mean sc 0042? That unit was worked on in job 2, begun 1 Mar 2026 08:00:00 +00:00, and SC-OO42 is new here; say so if SC-OO42 is meant"; !errors.Is(err, gauge.ErrRefused) || said(err) != want {
		t.Errorf("%v", said(err))
	}
	must(t, r.startOn("SC-OO42", true))
	must(t, r.startOn("SC-OO42", false)) // a unit of this name was worked on since
	r.mu.Lock()
	r.now = r.now.Add(91 * 24 * time.Hour)
	r.mu.Unlock()
	must(t, r.startOn("SC-004Z", false)) // of long ago is not asked
}

// TestSerialPutRight: a mistyped serial number is put right with a reason, also of a closed
// job, and the job is found by both.
func TestSerialPutRight(t *testing.T) {
	r := newRig(t)
	ctx := t.Context()
	must(t, r.startOn("SC-OO42", false))
	if _, err := r.CorrectSerial(ctx, 1, "SC-0042", "", "lead"); !errors.Is(err, gauge.ErrInput) {
		t.Error(err)
	}
	if _, err := r.CorrectSerial(ctx, 1, " SC-OO42", "typo", "lead"); !errors.Is(err, gauge.ErrRefused) {
		t.Error(err)
	}
	if _, err := r.CloseJob(ctx, 1, "given up", ""); err != nil {
		t.Fatal(err)
	}
	before := r.job(1)
	j, err := r.CorrectSerial(ctx, 1, "SC-0042", "O and 0 mixed up", "lead")
	if err != nil || j.UnitSerial != "SC-0042" || len(j.EarlierSerials) != 1 || j.EarlierSerials[0] != "SC-OO42" || j.Closed.IsZero() || string(j.Evaluated) != string(before.Evaluated) {
		t.Fatalf("%+v, %v", j, err)
	}
	if r.OpenJobs() != 0 {
		t.Error("it is open again")
	}
	for _, serial := range []string{"SC-0042", "sc0042", "sc-oo42", "SC OO42"} {
		if jobs, err := r.Jobs(ctx, gauge.JobQuery{Unit: serial, Limit: 9}); err != nil || len(jobs) != 1 {
			t.Errorf("by %s: %v, %v", serial, jobs, err)
		}
	}
	if jobs, err := r.Jobs(ctx, gauge.JobQuery{Unit: "SC-0043", Limit: 9}); err != nil || len(jobs) != 0 {
		t.Errorf("%v, %v", jobs, err)
	}
	steps, err := r.Course(ctx, 1)
	if last := steps[len(steps)-1]; err != nil || last.Kind != "serial" || last.Before != "SC-OO42" || last.Serial != "SC-0042" || last.By != "lead" || last.Reason != "O and 0 mixed up" {
		t.Errorf("%+v, %v", last, err)
	}
	if _, err := r.CorrectSerial(ctx, 9, "SC-1", "typo", ""); !errors.Is(err, gauge.ErrNotFound) {
		t.Error(err)
	}
}
