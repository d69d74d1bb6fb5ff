package station

import (
	"errors"
	"testing"

	"gauged/internal/gauge"
)

// TestFullDiskIsSaidAndGoesAway: while nothing can be stored the station says so, what a
// gauge sent waits, and both are over by themselves when there is room.
func TestFullDiskIsSaidAndGoesAway(t *testing.T) {
	r := newRig(t)
	if all := r.Troubles(); len(all) != 0 {
		t.Fatalf("before: %v", all)
	}
	r.store.setFail(errors.New("database or disk is full"))
	changed := r.Changed()
	r.Report(Report{Reading: &gauge.Reading{Gauge: "dial", Time: r.clock(), Value: gauge.MustLength("25.1", gauge.Millimetre), Shown: "25.1", Unit: gauge.Millimetre, Status: gauge.StatusOK}})
	if _, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "U 1", Technician: "test"}); err == nil {
		t.Error("a job was started on a full disk")
	}
	all := r.Troubles()
	if len(all) != 1 || all[0].Code != "trouble.history.not-stored" {
		t.Fatalf("while the disk is full: %v", all)
	}
	if g, err := r.Gauge("dial"); err != nil || g.Last.Reading != nil {
		t.Errorf("a reading that is not stored is shown: %+v, %v", g, err)
	}
	r.store.setFail(nil)
	<-changed
	if all := r.Troubles(); len(all) != 0 {
		t.Errorf("afterwards: %v", all)
	}
	if g, err := r.Gauge("dial"); err != nil || g.Last.Reading == nil || g.Last.Reading.Number != 1 {
		t.Errorf("the reading was not stored once: %+v, %v", g, err)
	}
}
