package station

import (
	"testing"

	"gauged/internal/gauge"
)

// TestRejectsFromOutsideAreThinned: what is sent for a gauge and is no reading is refused and
// counted one by one, also when it is sent again, and only the first are kept, of each gauge.
func TestRejectsFromOutsideAreThinned(t *testing.T) {
	r := newRig(t)
	const sent = 3 * KeptUnknown
	var batch []Ingested
	for i := range sent {
		batch = append(batch, Ingested{SourceSeq: uint64(i + 1), Gauge: "far", Shown: "1.0.0", Unit: gauge.Millimetre, Status: gauge.StatusOK})
	}
	before := r.Newest()
	for range 2 {
		receipt, err := r.Ingest(t.Context(), "program", batch)
		if err != nil || receipt.Through != sent || len(receipt.Refused) != sent {
			t.Fatalf("%d refused through %d, %v", len(receipt.Refused), receipt.Through, err)
		}
	}
	g, err := r.Gauge("far")
	if kept := r.Newest() - before; err != nil || kept != KeptUnknown || g.Rejected[gauge.ReasonNumber] != sent {
		t.Errorf("%d are kept, %d counted, %v", kept, g.Rejected[gauge.ReasonNumber], err)
	}
	if _, err := r.Ingest(t.Context(), "program", []Ingested{{SourceSeq: sent + 1, Gauge: "remote", Shown: "1.0.0", Unit: gauge.Millimetre, Status: gauge.StatusOK}}); err != nil || r.Newest()-before != KeptUnknown+1 {
		t.Errorf("of another gauge: %d, %v", r.Newest()-before, err)
	}
}
