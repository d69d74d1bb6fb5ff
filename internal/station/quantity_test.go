package station

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// TestTypedTorqueIsKept: a value that is no length is stored and read back with
// its digits and its unit, and the job is the same after a restart.
func TestTypedTorqueIsKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	procedure := strings.Replace(testProcedure, "height: {title: height}", "height: {title: height}\n  turn: {title: turning torque, unit: N m}", 1)
	procedure = strings.Replace(procedure, "unit: mm", "unit: mm\nother_units: convert", 1)
	r := rigWith(t, path, procedure)
	id := r.start(nil).ID
	for _, wrong := range []EnterRequest{
		{Job: id, Measurement: "turn", Shown: "0.35", Unit: gauge.Millimetre},
		{Job: id, Measurement: "depth", Shown: "25.4", Unit: gauge.NewtonMetre},
		{Job: id, Measurement: "depth", Shown: "25.4", Unit: gauge.One},
	} {
		if _, _, err := r.Enter(t.Context(), wrong); !errors.Is(err, gauge.ErrRefused) {
			t.Errorf("%s was taken for %s: %v", wrong.Unit.Quantity(wrong.Shown), wrong.Measurement, err)
		}
	}
	_, stored, err := r.Enter(t.Context(), EnterRequest{Job: id, Measurement: "turn", Shown: "3.10", Unit: gauge.PoundForceInch})
	if err != nil {
		t.Fatal(err)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigWith(t, path, procedure)
	for _, m := range r.job(id).Evaluation.Measurements {
		if m.Name != "turn" {
			continue
		}
		if len(m.Readings) != 1 {
			t.Fatalf("%d readings of %s, want 1", len(m.Readings), m.Name)
		}
		if got := m.Readings[0]; got.Seq != stored.Seq || got.Shown != "3.10" || got.Unit != gauge.PoundForceInch || got.Value != 3_100_000_000 {
			t.Errorf("read back is %+v", got)
		}
		return
	}
	t.Error("the job has no measurement turn")
}
