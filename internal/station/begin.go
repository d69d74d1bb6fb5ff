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
// the gauge's plan. What is wrong with them is said here, before the first reading.
func (s *Station) BeginCheck(ctx context.Context, gaugeID, by string, masters []string) (health.Begun, error) {
	if strings.TrimSpace(by) == "" {
		return health.Begun{}, fmt.Errorf("%w: a check needs the name of who made it", gauge.ErrInput)
	}
	h, err := s.Health(gaugeID)
	if err != nil {
		return health.Begun{}, err
	}
	if len(masters) == 0 && h.Plan != nil {
		masters = h.Plan.Masters
	}
	var problems []error
	for _, id := range masters {
		if _, err := check.Usable(s.o.Masters, id, s.o.Now()); err != nil {
			problems = append(problems, err)
		}
	}
	if err := errors.Join(problems...); err != nil {
		return health.Begun{}, err
	}
	var f gauge.Fact
	err = s.do(ctx, func(d *draft) (err error) {
		f, err = d.gaugeFact(gaugeID, health.KindBegun, by, struct{}{})
		return err
	})
	if err != nil {
		return health.Begun{}, err
	}
	return health.BegunBy(f), nil
}

// LeaveCheck gives up a check that was begun, by its number, or with 0 all that were
// begun of the gauge, and says how many that were. Their readings stay, of no check.
func (s *Station) LeaveCheck(ctx context.Context, gaugeID string, begun uint64, by string) (left int, err error) {
	if strings.TrimSpace(by) == "" {
		return 0, fmt.Errorf("%w: say who gives the check up", gauge.ErrInput)
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
			return fmt.Errorf("%w: no such check of gauge %s is being made", gauge.ErrRefused, gaugeID)
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
	why := fmt.Sprintf("%s is being checked (begun %s by %s): what it sends goes to the check. Record the check, or give it up (on its page, or gaugectl master leave %s), to measure with it",
		id, b.Time.Local().Format("15:04"), b.By, id)
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
		err := future(f.Reading, now)
		if age := b.Time.Sub(f.Reading.Time); err == nil && age > oldestFromOutside {
			err = fmt.Errorf("it is %s older than the begin of the check by the clock of its sender, %s: look at the link and the two clocks, and read the gauge at the master again", age.Round(time.Second), f.Reading.Source)
		}
		if err != nil {
			return fmt.Errorf("%w: reading %d is not of this check: %w", gauge.ErrRefused, f.Seq, err)
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
			return fmt.Errorf("%w: reading %d is in the %s of %s already (number %d): each reading counts once, in one check", gauge.ErrRefused, before.Seq, c.What(), c.Time.UTC().Format(time.DateOnly), c.Seq)
		}
	}
	return refused
}
