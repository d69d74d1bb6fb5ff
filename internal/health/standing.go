package health

import (
	"cmp"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// StandingChange is one change of whether a gauge may be used: what somebody said, or
// what a check led to. What was in force stays on record, also when the check behind
// it is voided later.
type StandingChange struct {
	Seq      uint64 // of the entry of the history that made it
	Time     time.Time
	By       string
	Standing Standing
	Why      gauge.Message // what somebody said is told as it was written
}

// Standings are the changes of the standing, oldest first. The gauge began in service.
func (h *Gauge) Standings() []StandingChange { return h.changes }

// turn is what bears on the standing of a gauge: what somebody said, or a check.
type turn struct {
	seq     uint64 // of its fact
	place   uint64 // where it stands in the order; that of a check of the past is its own time's
	time    time.Time
	said    StandingData // without a standing: a check
	by      string       // who said it
	verdict check.Verdict
	zero    bool
	aside   bool // it can only fail the gauge
}

// checkTurn is what a check does to the standing.
func checkTurn(c *check.Record) turn {
	t := turn{seq: c.Seq, place: c.Place(), time: c.Time, verdict: c.After().Verdict, zero: c.Zero, aside: c.Aside()}
	if t.verdict == check.Undecided && c.Result.Verdict == check.Fail {
		t.verdict = check.Fail // a gauge that failed and was adjusted has not passed yet
	}
	return t
}

// what names a check of the gauge in a sentence.
func (t turn) what() gauge.Message {
	if t.zero {
		return gauge.Say("turn.zero", gauge.Moment("when", t.time))
	}
	return gauge.Say("turn.check", gauge.Moment("when", t.time))
}

// why is what the turn says of the standing that it leads to.
func (t turn) why() gauge.Message {
	switch {
	case t.said.Standing != "":
		return gauge.Plain(t.said.Reason)
	case t.verdict == check.Fail:
		return gauge.Say("turn.failed", gauge.Nested("check", t.what()))
	default:
		return gauge.Say("turn.passed", gauge.Nested("check", t.what()))
	}
}

// turn takes up what bears on the standing, and notes the change in its history.
func (h *Gauge) turn(t turn, f gauge.Fact) {
	if t.said.Standing == "" && (t.verdict == check.Undecided || t.aside && t.verdict != check.Fail) {
		return // it says nothing of the standing
	}
	before, why := h.Standing, h.Why
	i, _ := slices.BinarySearchFunc(h.turns, &t, func(a, b *turn) int {
		return cmp.Or(cmp.Compare(a.place, b.place), a.time.Compare(b.time), -1) // after its equals
	})
	h.turns = slices.Insert(h.turns, i, &t)
	switch {
	case i < h.decided:
		h.decided++
	case t.decides():
		h.decided = i + 1
	}
	h.standAgain()
	if t.said.Standing != "" || before != h.Standing || !why.Equal(h.Why) {
		h.changed(f, t.why())
	}
}

// decides reports whether the standing after it does not depend on what was before.
func (t *turn) decides() bool { return t.said.Standing != "" || t.verdict == check.Fail }

// stands is the standing after one turn more.
func (h *Gauge) stands(t *turn) {
	switch {
	case t.said.Standing != "":
		h.Standing, h.Why, h.Since = t.said.Standing, t.why(), t.time
	case t.verdict == check.Fail:
		h.Standing, h.Why, h.Since = Suspect, t.why(), t.time
	case h.Standing == Suspect:
		h.Standing, h.Why, h.Since = InService, gauge.Message{}, t.time
	}
}

// standAgain is the standing after all turns, in their order: by the last one that
// decides, and the check after it, which passed. The passed ones after that one say
// nothing more.
func (h *Gauge) standAgain() {
	h.Standing, h.Why, h.Since = InService, gauge.Message{}, time.Time{}
	if h.decided == 0 {
		return
	}
	for _, t := range h.turns[h.decided-1 : min(h.decided+1, len(h.turns))] {
		h.stands(t)
	}
}

// withoutTurn takes a check that is voided out of the standing.
func (h *Gauge) withoutTurn(v VoidedData, f gauge.Fact) {
	before, why := h.Standing, h.Why
	i := slices.IndexFunc(h.turns, func(t *turn) bool { return t.seq == v.Check })
	if i < 0 {
		return // it had none
	}
	what := h.turns[i].what()
	h.turns = slices.Delete(h.turns, i, i+1)
	for h.decided = len(h.turns); h.decided > 0 && !h.turns[h.decided-1].decides(); {
		h.decided--
	}
	h.standAgain()
	if before != h.Standing || !why.Equal(h.Why) {
		h.changed(f, gauge.Say("turn.voided", gauge.Nested("check", what), gauge.Text("why", v.Reason)))
	}
}

func (h *Gauge) changed(f gauge.Fact, why gauge.Message) {
	h.changes = append(h.changes, StandingChange{f.Seq, f.Gauge.Time, f.Gauge.By, h.Standing, why})
}
