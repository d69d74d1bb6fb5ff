package health

import (
	"time"

	"gauged/internal/gauge"
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
func (h *Gauge) Overdue(now time.Time) bool { return !h.DueNow("", now).IsZero() }

// OverdueInJob reports whether it is due in the midst of a job, too: what jobs want before
// they begin aside.
func (h *Gauge) OverdueInJob(now time.Time) bool { return !h.DueInJob("", now).IsZero() }

// DueNow says why the check of the gauge is due; zero when it is not. Of a gauge that is
// not in service no check is due: Remedy says what is to be done first.
func (h *Gauge) DueNow(id string, now time.Time) gauge.Message {
	if why := h.DueInJob(id, now); !why.IsZero() {
		return why
	}
	p := h.Plan
	switch {
	case p == nil || h.Standing != InService:
	case (p.BeforeEach || p.BeforeWithin > 0) && h.Good == nil:
		return h.never(id)
	case p.BeforeWithin > 0 && now.Sub(h.Good.Time) > p.BeforeWithin:
		return h.tooOld(id)
	case p.BeforeEach && h.Last.Place() < h.Use.Seq:
		return gauge.Say("due.used_since", gauge.Text("gauge", id), gauge.Count("job", h.Use.Job))
	case p.BeforeEach && h.Good.Place() < h.Use.Seq:
		return gauge.Say("due.none_passed_since", gauge.Text("gauge", id), gauge.Count("job", h.Use.Job))
	}
	return gauge.Message{}
}

// tooOld says that the last check that passed is too old for a job.
func (h *Gauge) tooOld(id string) gauge.Message {
	when, within := gauge.Moment("when", h.Good.Time), gauge.Span("within", h.Plan.BeforeWithin)
	if h.Good != h.Last {
		return gauge.Say("due.passed_too_old", gauge.Text("gauge", id), when, within)
	}
	return gauge.Say("due.too_old", gauge.Text("gauge", id), when, within)
}

// DueInJob says why the check is due in the midst of a job, too: by the calendar, or
// as the gauge failed one; zero when it is not.
func (h *Gauge) DueInJob(id string, now time.Time) gauge.Message {
	if h.Standing != InService {
		return gauge.Message{}
	}
	if said, failed := h.byHand(); said != nil {
		return gauge.Say("due.by_hand", gauge.Text("gauge", id), gauge.Nested("check", failed.what()),
			gauge.Moment("when", said.time), gauge.Text("by", said.by), gauge.Text("why", said.said.Reason))
	}
	switch due := h.DueByCalendar(); {
	case due.IsZero() || now.Before(due):
		return gauge.Message{}
	case h.Good == nil:
		return h.never(id)
	default:
		return gauge.Say("due.calendar", gauge.Text("gauge", id), gauge.Moment("due", due))
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

// never says that no check of the gauge passed.
func (h *Gauge) never(id string) gauge.Message {
	if h.Last == nil {
		return gauge.Say("due.never_checked", gauge.Text("gauge", id))
	}
	return gauge.Say("due.never_passed", gauge.Text("gauge", id))
}

// DueAfterLast says that the check after the last job was not made; zero otherwise.
func (h *Gauge) DueAfterLast(id string) gauge.Message {
	if p := h.Plan; p == nil || !p.AfterEach || h.Use.Job == 0 || h.Last != nil && h.Last.Place() >= h.Use.Seq {
		return gauge.Message{}
	}
	return gauge.Say("due.after_job", gauge.Text("gauge", id), gauge.Count("job", h.Use.Job))
}
