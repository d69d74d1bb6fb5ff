package station

import (
	"context"
	"fmt"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// TestUnknownGaugesFillNothing: readings for gauges that are not there are refused and
// counted one by one, also when they are sent again, and only the first are kept.
func TestUnknownGaugesFillNothing(t *testing.T) {
	r := newRig(t)
	const sent = 5 * KeptUnknown
	var batch []Ingested
	for i := range sent {
		batch = append(batch, Ingested{SourceSeq: uint64(i + 1), Gauge: "nobody", Shown: "1.000", Unit: gauge.Millimetre, Status: gauge.StatusOK})
	}
	before := r.Newest()
	for range 2 {
		receipt, err := r.Ingest(t.Context(), "program", batch)
		if err != nil || receipt.Through != sent || len(receipt.Refused) != sent || receipt.Refused[sent-1].Reason.Code != "because.sent.no-gauge" {
			t.Fatalf("%d refused through %d, %v", len(receipt.Refused), receipt.Through, err)
		}
	}
	if kept := r.Newest() - before; kept != KeptUnknown || r.UnknownReadings() != sent {
		t.Errorf("%d are kept of %d", kept, r.UnknownReadings())
	}
	r.mu.Lock()
	r.now = r.now.Add(unknownWithin)
	r.mu.Unlock()
	batch[0].SourceSeq = sent + 1
	if _, err := r.Ingest(t.Context(), "program", batch[:1]); err != nil || r.Newest()-before != KeptUnknown+1 {
		t.Errorf("later none is kept any more: %d, %v", r.Newest()-before, err)
	}
	r.mu.Lock()
	r.now = r.now.AddDate(-3, 0, 0) // the clock is set back
	r.mu.Unlock()
	batch[0].SourceSeq = sent + 2
	if _, err := r.Ingest(t.Context(), "program", batch[:1]); err != nil || r.Newest()-before != KeptUnknown+2 {
		t.Errorf("none is kept after the clock was set back: %d, %v", r.Newest()-before, err)
	}
}

// askedStore counts how often it is asked for a sender.
type askedStore struct {
	*history.Store
	asked int
}

func (s *askedStore) SourceSeq(ctx context.Context, source string) (uint64, error) {
	s.asked++
	return s.Store.SourceSeq(ctx, source)
}

// TestTooManySenders: names without end fill no memory, and the history is not asked for them.
func TestTooManySenders(t *testing.T) {
	r := newRig(t)
	asked := &askedStore{Store: r.store.Store}
	r.o.Store = asked
	for i := range MostSenders {
		if _, err := r.Resume(t.Context(), fmt.Sprint("program ", i)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.Resume(t.Context(), "one more"); gauge.Told(err).Code != "refusal.sender.too-many" || asked.asked != MostSenders {
		t.Errorf("%v, asked %d times", err, asked.asked)
	}
	if _, err := r.Resume(t.Context(), "program 7"); err != nil {
		t.Error(err)
	}
}
