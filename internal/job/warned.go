package job

import (
	"maps"
	"slices"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health"
)

// Warned returns the job with what is to be known of its gauges now, besides what
// was said at its start and when it was closed, and without a notice that no longer holds.
func (j *Job) Warned(health func(id string) *health.Gauge, now time.Time) *Job {
	next := *j
	next.Warnings, next.Notice = slices.Clip(j.Told), holding(j.Notice, health, now)
	next.passed = map[string]bool{}
	ids := GaugesOf(j.Gauges)
	for _, r := range j.Taken {
		ids[r.Gauge] = true
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		h := health(id)
		if h == nil {
			continue
		}
		next.passed[id] = h.Good != nil && h.Good.Time.After(j.Started) && h.DueInJob(id, now).IsZero()
		for _, m := range jobWarnings(id, h, j, now) {
			if !Says(next.Warnings, m) {
				next.Warnings = append(next.Warnings, m)
			}
		}
	}
	return &next
}

// Says reports whether a message is among others.
func Says(all []gauge.Message, m gauge.Message) bool { return slices.ContainsFunc(all, m.Equal) }

func jobWarnings(id string, h *health.Gauge, j *Job, now time.Time) []gauge.Message {
	seqs := j.ReadingsOf(id)
	doubtful, said := doubts(id, h, j, seqs)
	if len(seqs) > 0 && h.Plan != nil && h.Plan.AfterEach && j.Over() {
		said = append(said, afterwards(id, h, j, seqs[len(seqs)-1])...)
	}
	if h.Damage != nil && len(seqs) > 0 && !j.Closed.IsZero() {
		said = append(said, gauge.Say("warning.damaged", append(cameFrom(seqs), gauge.Text("gauge", id), gauge.Nested("why", h.Why))...))
	}
	if !j.Closed.IsZero() {
		return said
	}
	if h.Standing != health.InService {
		out := gauge.Say("warning.out", h.Out(id)...)
		if came := without(seqs, doubtful); len(came) > 0 {
			out.Args = append(out.Args, cameFrom(came)...)
		}
		said = append(said, out)
	}
	if due := h.DueInJob(id, now); !due.IsZero() {
		said = append(said, due)
	}
	return said
}

// doubts says which readings of a gauge came before a check that it failed, and
// what this does to the verdict.
func doubts(id string, h *health.Gauge, j *Job, seqs []uint64) (doubtful []uint64, said []gauge.Message) {
	by := map[uint64][]uint64{}
	var order []*health.Settled
	for _, seq := range seqs {
		s := h.SettledAfter(seq)
		if s == nil || !s.Failed {
			continue
		}
		if len(by[s.Seq]) == 0 {
			order = append(order, s)
		}
		by[s.Seq] = append(by[s.Seq], seq)
		doubtful = append(doubtful, seq)
	}
	for _, s := range order {
		code := "warning.doubt.measured"
		switch {
		case evaluate.OnlyChose(j.Procedure, &j.Evaluation, j.Taken, by[s.Seq]):
			code = "warning.doubt.chosen"
		case j.Evaluation.Outcome.Decided():
			code = "warning.doubt.verdict"
		}
		failed := gauge.Say("warning.failed", append(cameFrom(by[s.Seq]), gauge.Text("gauge", id), gauge.Nested("check", s.Its()),
			inMicrometres("error", s.Worst), inMicrometres("limit", s.Limit))...)
		said = append(said, gauge.Say(code, gauge.Nested("because", failed)))
	}
	return doubtful, said
}

// afterwards says of the check after the job that it is still due, or how it ended.
func afterwards(id string, h *health.Gauge, j *Job, last uint64) []gauge.Message {
	due := gauge.Say("warning.after.due", gauge.Text("gauge", id))
	if h.Last == nil || h.Last.Seq < last {
		return []gauge.Message{due}
	}
	closedWithout := !j.Closed.IsZero() && Says(j.Told, due)
	if s := h.SettledAfter(last); closedWithout && s != nil && !s.Failed {
		return []gauge.Message{gauge.Say("warning.after.made", gauge.Text("gauge", id), gauge.Moment("day", s.Time))}
	}
	return nil
}

// cameFrom names readings that came from a gauge by their numbers.
func cameFrom(seqs []uint64) []gauge.Arg {
	numbers := make([]gauge.Arg, len(seqs))
	for i, seq := range seqs {
		numbers[i] = gauge.Count("", seq)
	}
	return []gauge.Arg{gauge.Count("n", len(seqs)), gauge.List("readings", numbers...)}
}

func without(all, left []uint64) (rest []uint64) {
	for _, one := range all {
		if !slices.Contains(left, one) {
			rest = append(rest, one)
		}
	}
	return rest
}

// inMicrometres is an error as it is said in a sentence.
func inMicrometres(name string, l gauge.Length) gauge.Arg {
	return gauge.Shown(name, l.Text(gauge.Micrometre, 1), gauge.Micrometre)
}
