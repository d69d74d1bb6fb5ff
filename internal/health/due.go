package health

import (
	"fmt"
	"time"

	"gauged/internal/health/check"
)

// AtOnce is since when a check is due that should have been made already.
var AtOnce = time.Unix(0, 0).UTC()

// Due is when the next check is due, for a new job as well: zero when the plan has no
// term. It counts from the last check that passed: one that failed or is undecided moves
// it nowhere.
func (h *Gauge) Due() time.Time {
	due, p := h.DueByCalendar(), h.Plan
	switch {
	case p == nil || due.Equal(AtOnce):
		return due
	case (p.BeforeEach || p.BeforeWithin > 0) && h.Good == nil, p.BeforeEach && h.Good.Place() < h.Use.Seq:
		return AtOnce
	case p.BeforeWithin > 0:
		if within := h.Good.Time.Add(p.BeforeWithin); due.IsZero() || within.Before(due) {
			return within
		}
	}
	return due
}

// DueByCalendar is Due whatever jobs want; zero when the plan has no term by calendar.
func (h *Gauge) DueByCalendar() time.Time {
	said, _ := h.byHand()
	switch p := h.Plan; {
	case said != nil:
		return AtOnce
	case p == nil || p.Every == 0:
		return time.Time{}
	case h.Good == nil:
		return AtOnce // no check passed yet
	default:
		return h.Good.Time.Add(p.Every)
	}
}

// Overdue reports whether the check is due now: a new job wants it first, or says so.
func (h *Gauge) Overdue(now time.Time) bool { return h.DueNow("", now) != "" }

// OverdueInJob reports whether it is due in the midst of a job, too: what jobs want before
// they begin aside.
func (h *Gauge) OverdueInJob(now time.Time) bool { return h.DueInJob("", now) != "" }

// DueNow says why the check of the gauge is due; empty when it is not.
func (h *Gauge) DueNow(id string, now time.Time) string {
	if text := h.DueInJob(id, now); text != "" {
		return text
	}
	p, passed := h.Plan, ""
	if h.Good != h.Last {
		passed = "that passed "
	}
	switch {
	case p == nil:
		return ""
	case (p.BeforeEach || p.BeforeWithin > 0) && h.Good == nil:
		return h.neverText(id)
	case p.BeforeWithin > 0 && now.Sub(h.Good.Time) > p.BeforeWithin:
		return fmt.Sprintf("the last check %sof gauge %s is %s old, and a job wants one of the last %s", passed, id, now.Sub(h.Good.Time).Round(time.Second), p.BeforeWithin)
	case p.BeforeEach && h.Last.Place() < h.Use.Seq:
		return fmt.Sprintf("gauge %s was not checked since job %d used it", id, h.Use.Job)
	case p.BeforeEach && h.Good.Place() < h.Use.Seq:
		return fmt.Sprintf("gauge %s passed no check since job %d used it", id, h.Use.Job)
	}
	return ""
}

// DueInJob says why the check is due in the midst of a job, too: by the calendar, or
// as the gauge failed one.
func (h *Gauge) DueInJob(id string, now time.Time) string {
	if said, failed := h.byHand(); said != nil {
		return fmt.Sprintf("gauge %s failed %s, was put into service by hand on %s by %s (%s), and passed no check since",
			id, failed.what(), said.time.UTC().Format(time.DateOnly), said.by, said.said.Reason)
	}
	switch due := h.DueByCalendar(); {
	case due.IsZero() || now.Before(due):
		return ""
	case h.Good == nil:
		return h.neverText(id)
	default:
		return fmt.Sprintf("the check of gauge %s was due on %s", id, due.Format(time.DateOnly))
	}
}

// byHand is how a gauge that failed a check was put into service without one that passed
// since, and the check that it failed; nil otherwise.
func (h *Gauge) byHand() (said, failed *turn) {
	if h.Standing != InService || h.decided == 0 || h.decided < len(h.turns) {
		return nil, nil // what follows the turn that decides are checks that passed
	}
	said = h.turns[h.decided-1]
	for i := h.decided - 2; i >= 0; i-- {
		if t := h.turns[i]; t.said.Standing == "" {
			if t.verdict == check.Fail {
				return said, t
			}
			break
		}
	}
	return nil, nil
}

// neverText says that no check of the gauge passed.
func (h *Gauge) neverText(id string) string {
	if h.Last == nil {
		return fmt.Sprintf("gauge %s was never checked against a master", id)
	}
	return fmt.Sprintf("gauge %s passed no check against a master yet", id)
}

// DueAfterLast says that the check after the last job was not made; empty otherwise.
func (h *Gauge) DueAfterLast(id string) string {
	if p := h.Plan; p == nil || !p.AfterEach || h.Use.Job == 0 || h.Last != nil && h.Last.Place() >= h.Use.Seq {
		return ""
	}
	return fmt.Sprintf("the check of gauge %s after job %d is still due", id, h.Use.Job)
}
