package health

import (
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
)

// Recalled is what was decided about the jobs that a gauge measured before it failed a check.
type Recalled struct {
	Time   time.Time
	By     string
	Check  uint64 // the newest failed check that it is about: see Settled
	Reason string // what was decided, and why
}

// ToRecall is the newest failed check about whose jobs nobody has decided yet, whatever
// happened to the gauge since; nil when there is none, no job used the gauge, or nothing is
// known of it.
func (h *Gauge) ToRecall() *Settled {
	if h == nil {
		return nil
	}
	for _, s := range slices.Backward(h.settled) {
		switch {
		case h.Use.Seq == 0 || len(h.Recalls) > 0 && s.Seq <= h.Recalls[len(h.Recalls)-1].Check:
			return nil
		case s.Failed:
			return &s
		}
	}
	return nil
}

// RecallWanted says why the jobs of the gauge are to be looked at; zero when they are not.
func (h *Gauge) RecallWanted(id string) gauge.Message {
	s := h.ToRecall()
	if s == nil {
		return gauge.Message{}
	}
	return gauge.Say("due.recall", gauge.Text("gauge", id), gauge.Nested("check", turn{zero: s.Zero, time: s.Time}.what()))
}

// RecallDecision says what was decided about the jobs that a gauge measured before it failed
// a check.
type RecallDecision struct {
	Gauge  string
	Check  uint64 // the failed check, as ToRecall has it; 0: the one that waits
	Reason string
	By     string
}

// About is what is stored of the decision; it is refused where nothing waits for it.
func (r RecallDecision) About(h *Gauge) (data RecalledData, err error) {
	of, waits := gauge.Text("gauge", r.Gauge), h.ToRecall()
	switch {
	case strings.TrimSpace(r.By) == "":
		return data, gauge.WrongInput("refusal.recalled.who")
	case strings.TrimSpace(r.Reason) == "":
		return data, gauge.WrongInput("refusal.recalled.why", of)
	case waits == nil:
		return data, gauge.Refused("refusal.recalled.none", of)
	case r.Check != 0 && r.Check != waits.Seq:
		return data, gauge.Refused("refusal.recalled.another", of)
	}
	return RecalledData{waits.Seq, r.Reason}, nil
}
