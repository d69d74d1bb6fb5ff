package station

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// BeginCheck says that a check of a gauge begins. The check takes readings that come
// after it alone. The masters are those that it is to be made at; with none those of
// the gauge's plan. What is wrong with them is said here, before the first reading. data is how
// it is made, for who wants to find it again after a restart.
func (s *Station) BeginCheck(ctx context.Context, gaugeID, by string, masters []string, data health.BegunData) (b health.Begun, err error) {
	if strings.TrimSpace(by) == "" {
		return b, gauge.WrongInput("refusal.check.who")
	}
	h, err := s.Health(gaugeID)
	if err != nil {
		return b, err
	}
	if len(masters) == 0 && h.Plan != nil {
		masters = h.Plan.Masters
	}
	var problems []error
	for i, id := range masters {
		if _, err := check.Usable(s.Masters(), id, s.o.Now()); err != nil {
			problems = append(problems, gauge.At(err, "because.field", gauge.Text("field", fmt.Sprintf("master_ids[%d]", i))))
		}
	}
	if err := errors.Join(problems...); err != nil {
		return b, err
	}
	var f gauge.Fact
	err = s.do(ctx, func(d *draft) (err error) {
		f, err = d.gaugeFact(gaugeID, health.KindBegun, by, data)
		return err
	})
	if err != nil {
		return b, err
	}
	return health.BegunBy(f)
}

// LeaveCheck gives up a check that was begun, by its number, or with 0 all that were
// begun of the gauge, and says how many that were. Their readings stay, of no check.
func (s *Station) LeaveCheck(ctx context.Context, gaugeID string, begun uint64, by string) (left int, err error) {
	if strings.TrimSpace(by) == "" {
		return 0, gauge.WrongInput("refusal.check.leave-who")
	}
	if _, err := s.Health(gaugeID); err != nil {
		return 0, err
	}
	err = s.do(ctx, func(d *draft) error {
		h := d.healthOf(gaugeID)
		switch {
		case begun == 0 && (h == nil || len(h.Begun) == 0):
			return nil
		case begun != 0 && (h == nil || !slices.ContainsFunc(h.Begun, func(b health.Begun) bool { return b.Seq == begun })):
			return gauge.Refused("refusal.check.not-begun", gauge.Text("gauge", gaugeID))
		}
		before := len(h.Begun)
		_, err := d.gaugeFact(gaugeID, health.KindLeft, by, health.LeftData{Begun: begun})
		left = before - len(d.healthOf(gaugeID).Begun)
		return err
	})
	return left, err
}

// pressedForCheck says in the jobs of a gauge why its press feeds none of them: a reading at a
// master is no measurement of a unit, and no zero return.
func (d *draft) pressedForCheck(id string, b *health.Begun) {
	why := gauge.Say("notice.being-checked", gauge.Text("gauge", id), gauge.Moment("begun", b.Time), gauge.Text("by", b.By))
	d.eachOpen(func(j *job.Job) {
		if j.Uses(id) {
			d.notice(j, why)
		}
	})
}

// ofSession refuses readings from outside that came after the begin of a check and were
// taken before it, by the clock of their sender, or are dated in the future.
func ofSession(b health.Begun, sent []gauge.Fact, now time.Time) error {
	for _, f := range sent {
		why := future(f.Reading, now)
		if age := b.Time.Sub(f.Reading.Time); why.IsZero() && age > oldestFromOutside {
			why = gauge.Say("because.before-begin", gauge.Span("age", age), gauge.Text("source", f.Reading.Source))
		}
		if !why.IsZero() {
			return gauge.Refused("refusal.check.reading-outside", gauge.Count("reading", f.Seq), gauge.Nested("why", why))
		}
	}
	return nil
}

// heldBy names the check that has the refused reading, where one has.
func (s *Station) heldBy(ctx context.Context, gaugeID string, refused error) error {
	var before *health.TakenBefore
	if !errors.As(refused, &before) {
		return refused
	}
	checks, err := s.AllChecks(ctx, gaugeID)
	if err != nil {
		return err
	}
	for _, c := range checks {
		if c.Holds(before.Seq) {
			return health.Held(before.Seq, c)
		}
	}
	return refused
}
