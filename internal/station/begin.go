package station

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// kindBegun is that somebody begins a check of a gauge. Its data is empty.
const kindBegun = "check begun"

// longestCheck is how long a check may take from its begin on; ours. What was begun
// before that is begun anew, so that yesterday's readings are no check of today.
const longestCheck = 24 * time.Hour

// Begun is a check that is being made.
type Begun struct {
	Seq  uint64 // its number in the history: the readings of the check come after it
	Time time.Time
	By   string
}

// BeginCheck says that a check of a gauge begins. The check takes readings that come
// after it alone. The masters are those that it is to be made at; with none those of
// the gauge's plan. What is wrong with them is said here, before the first reading.
func (s *Station) BeginCheck(ctx context.Context, gaugeID, by string, masters []string) (Begun, error) {
	if strings.TrimSpace(by) == "" {
		return Begun{}, fmt.Errorf("%w: a check needs the name of who made it", gauge.ErrInput)
	}
	h, err := s.Health(gaugeID)
	if err != nil {
		return Begun{}, err
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
		return Begun{}, err
	}
	var f gauge.Fact
	err = s.do(ctx, func(d *draft) (err error) {
		f, err = d.gaugeFact(gaugeID, kindBegun, by, struct{}{})
		return err
	})
	if err != nil {
		return Begun{}, err
	}
	return begunBy(f), nil
}

func begunBy(f gauge.Fact) Begun { return Begun{f.Seq, f.Gauge.Time, f.Gauge.By} }

// kindLeft is that a check that was begun is given up.
const kindLeft = "check left"

type leftData struct {
	Begun uint64 `json:"begun,omitempty"` // 0: whatever was begun
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
		case begun == 0 && (h == nil || len(h.begun) == 0):
			return nil
		case begun != 0 && (h == nil || !slices.ContainsFunc(h.begun, func(b Begun) bool { return b.Seq == begun })):
			return fmt.Errorf("%w: no such check of gauge %s is being made", gauge.ErrRefused, gaugeID)
		}
		before := len(h.begun)
		_, err := d.gaugeFact(gaugeID, kindLeft, by, leftData{begun})
		left = before - len(d.healthOf(gaugeID).begun)
		return err
	})
	return left, err
}

// checking is the check that the readings of a gauge go to now; nil when none is made.
func (h *Health) checking(now time.Time) *Begun {
	if h == nil || len(h.begun) == 0 {
		return nil
	}
	if last := h.begun[len(h.begun)-1]; now.Sub(last.Time) <= longestCheck {
		return &last
	}
	return nil
}

// pressedForCheck says in the jobs of a gauge why its press feeds none of them: a reading at a
// master is no measurement of a unit, and no zero return.
func (d *draft) pressedForCheck(id string, b *Begun) {
	why := fmt.Sprintf("%s is being checked (begun %s by %s): what it sends goes to the check. Record the check, or give it up (on its page, or gaugectl master leave %s), to measure with it",
		id, b.Time.Local().Format("15:04"), b.By, id)
	d.eachOpen(func(j *job.Job) {
		if j.Uses(id) {
			d.notice(j, why)
		}
	})
}

// session is the check that was begun, by its number; 0 is the one begun last.
func (h *Health) session(gaugeID string, seq uint64, now time.Time) (b Begun, err error) {
	const again = "begin it again (gaugectl master begin), and take its readings then"
	i := len(h.begun) - 1
	if seq != 0 {
		i = slices.IndexFunc(h.begun, func(b Begun) bool { return b.Seq == seq })
	}
	switch {
	case i < 0 && seq != 0 && seq < h.recorded:
		return b, fmt.Errorf("%w: check %d of gauge %s was recorded after this one was begun (%d), and ended it: %s", gauge.ErrRefused, h.recorded, gaugeID, seq, again)
	case i < 0 && seq != 0:
		return b, fmt.Errorf("%w: number %d of the history begins no check of gauge %s", gauge.ErrInput, seq, gaugeID)
	case i < 0:
		return b, fmt.Errorf("%w: no check of gauge %s was begun: a check takes the readings that come after its begin; %s", gauge.ErrRefused, gaugeID, again)
	}
	b = h.begun[i]
	if now.Sub(b.Time) > longestCheck {
		return b, fmt.Errorf("%w: the check of gauge %s was begun on %s: %s", gauge.ErrRefused, gaugeID, b.Time.UTC().Format(time.DateOnly), again)
	}
	return b, nil
}

// takes refuses readings that are not of this session, or that count already.
func (h *Health) takes(b Begun, points []check.StoredPoint) error {
	at := map[uint64]string{}
	for _, p := range points {
		for _, seq := range p.Seqs {
			there, twice := at[seq]
			switch {
			case twice:
				return fmt.Errorf("%w: reading %d is there twice, at master %s and at master %s: each reading counts once", gauge.ErrInput, seq, there, p.Master.ID)
			case seq <= b.Seq:
				return &takenBefore{seq, b}
			case slices.Contains(h.zeros, seq):
				return fmt.Errorf("%w: reading %d is a zero return of the gauge already: each reading counts once", gauge.ErrRefused, seq)
			}
			at[seq] = p.Master.ID
		}
	}
	return nil
}

// ofSession refuses readings from outside that came after the begin of a check and were
// taken before it, by the clock of their sender, or are dated in the future.
func ofSession(b Begun, sent []gauge.Fact, now time.Time) error {
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

// takenBefore refuses a reading that came before the check was begun.
type takenBefore struct {
	seq   uint64
	begun Begun
}

func (e *takenBefore) Error() string {
	return fmt.Sprintf("%v: reading %d was taken before this check was begun at %s: read the gauge at the master again", gauge.ErrRefused, e.seq, e.begun.Time.UTC().Format(time.RFC3339))
}

func (e *takenBefore) Unwrap() error { return gauge.ErrRefused }

// heldBy names the check that has the refused reading, where one has.
func (s *Station) heldBy(ctx context.Context, gaugeID string, refused error) error {
	var before *takenBefore
	if !errors.As(refused, &before) {
		return refused
	}
	checks, err := s.AllChecks(ctx, gaugeID)
	if err != nil {
		return err
	}
	for _, c := range checks {
		if c.Holds(before.seq) {
			return fmt.Errorf("%w: reading %d is in the %s of %s already (number %d): each reading counts once, in one check", gauge.ErrRefused, before.seq, c.What(), c.Time.UTC().Format(time.DateOnly), c.Seq)
		}
	}
	return refused
}

// begins notes in the health what a fact does to the checks that are being made.
func (h *Health) begins(f gauge.Fact) {
	h.begun = append(slices.Clip(h.begun), begunBy(f))
}

// leaves notes that what was begun is given up.
func (h *Health) leaves(left leftData) {
	h.begun = slices.DeleteFunc(slices.Clone(h.begun), func(b Begun) bool { return left.Begun == 0 || b.Seq == left.Begun })
}

// ends notes that a check was recorded, which ends what was begun before it.
func (h *Health) ends(c *check.Record) {
	if c.Zero {
		for _, p := range c.Points {
			h.zeros = append(slices.Clip(h.zeros), p.Seqs...)
		}
		return
	}
	h.recorded, h.begun, h.zeros = c.Seq, nil, nil
}
