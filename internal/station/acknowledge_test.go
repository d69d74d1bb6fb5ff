package station

import (
	"errors"
	"testing"

	"gauged/internal/gauge"
)

// TestAcknowledge: who has read the cautions is known after a restart, and once is enough.
func TestAcknowledge(t *testing.T) {
	r := newRig(t)
	j := r.start(nil)
	if j.Acknowledged != "" {
		t.Errorf("%q has read them before anybody did", j.Acknowledged)
	}
	j, err := r.Station.Acknowledge(t.Context(), j.ID, "second hand")
	if err != nil || j.Acknowledged != "second hand" {
		t.Fatalf("%+v, %v", j, err)
	}
	_, err = r.Station.Acknowledge(t.Context(), j.ID, "third hand")
	if want := "refused: second hand has read the cautions of job 1 already"; !errors.Is(err, gauge.ErrRefused) || said(err) != want {
		t.Errorf("%v", err)
	}
	steps, err := r.Station.Course(t.Context(), j.ID)
	if err != nil || len(steps) != 2 || steps[1].Kind != "acknowledged" || steps[1].By != "second hand" {
		t.Errorf("%+v, %v", steps, err)
	}
}
