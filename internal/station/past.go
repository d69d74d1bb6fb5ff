package station

import (
	"context"
	"fmt"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// pastData is what a check of the past has of its own.
type pastData struct {
	Time        time.Time `json:"time"`
	By          string    `json:"by,omitempty"`
	Place       string    `json:"place,omitempty"`       // such as the laboratory
	Certificate string    `json:"certificate,omitempty"` // its number
	After       uint64    `json:"after"`                 // the last number that the history had at its time
}

// PastCheck is a check that was made before or elsewhere: the result of a laboratory,
// or one from earlier records.
type PastCheck struct {
	Time        time.Time
	By          string
	Place       string
	Certificate string
	Occasion    string
	Remark      string
	Found       []check.Stated
	Left        []check.Stated // after an adjustment
}

// ImportRequest brings checks of the past in. They take their places in time: trend,
// charts, advice and standing are computed again with them.
type ImportRequest struct {
	Gauge  string
	By     string
	Checks []PastCheck
	DryRun bool // say what would come in, and store nothing
}

// ImportProblem is what is wrong with one of the checks.
type ImportProblem struct {
	Check int // index
	Text  string
}

// ImportChecks returns the checks as they are judged, or everything that is wrong with
// them; nothing is stored then.
func (s *Station) ImportChecks(ctx context.Context, r ImportRequest) ([]*check.Record, []ImportProblem, error) {
	switch {
	case strings.TrimSpace(r.By) == "":
		return nil, nil, fmt.Errorf("%w: say who brings the checks in", gauge.ErrInput)
	case len(r.Checks) == 0:
		return nil, nil, fmt.Errorf("%w: there is no check to bring in", gauge.ErrInput)
	}
	if err := r.tooLarge(); err != nil {
		return nil, nil, err
	}
	all, err := s.AllChecks(ctx, r.Gauge)
	if err != nil {
		return nil, nil, err
	}
	if problems := r.problems(all, s.o.Masters, s.o.Now()); len(problems) > 0 {
		return nil, problems, nil
	}
	ability := s.ability(r.Gauge)
	var facts []newFact
	var records []*check.Record
	for _, c := range r.Checks {
		data := checkedData{
			Occasion: c.Occasion, Remark: c.Remark, Ability: ability, Result: check.EvaluateStated(c.Found, ability),
			Past: &pastData{Time: c.Time, By: c.By, Place: c.Place, Certificate: c.Certificate},
		}
		if len(c.Left) > 0 {
			left := check.EvaluateStated(c.Left, ability)
			data.LeftResult = &left
		}
		if data.Past.After, err = s.lastAt(ctx, c.Time); err != nil {
			return nil, nil, err
		}
		if data.Number, err = s.numberAt(ctx, r.Gauge, data.Past.After); err != nil {
			return nil, nil, err
		}
		facts = append(facts, newFact{kindChecked, data})
		records = append(records, data.record(gauge.Fact{Gauge: &gauge.GaugeFact{By: r.By, Time: s.o.Now()}}))
	}
	if r.DryRun {
		return records, nil, nil
	}
	err = s.do(ctx, func(d *draft) error {
		for i := range records {
			records[i].Seq = d.nextSeq + uint64(i)
		}
		return d.refold(ctx, r.Gauge, r.By, facts...)
	})
	return records, nil, err
}

// lastAt is the last number that the history had at a time; 0: none.
func (s *Station) lastAt(ctx context.Context, t time.Time) (uint64, error) {
	low, high := uint64(0), s.o.Store.LastSeq() // the answer is in low..high
	for low < high {
		middle := high - (high-low)/2
		facts, err := s.o.Store.Facts(ctx, middle-1, 1)
		if err != nil {
			return 0, err
		}
		if len(facts) == 0 || timeOf(facts[0]).After(t) {
			high = middle - 1
		} else {
			low = middle
		}
	}
	return low, nil
}

// timeOf is when a fact came about.
func timeOf(f gauge.Fact) time.Time {
	switch {
	case f.Reading != nil:
		return f.Reading.Time
	case f.Reject != nil:
		return f.Reject.Time
	case f.State != nil:
		return f.State.Time
	case f.File != nil:
		return f.File.Time
	case f.Job != nil:
		return f.Job.Time
	case f.Gauge != nil:
		return f.Gauge.Time
	case f.Release != nil:
		return f.Release.Time
	}
	return time.Time{}
}

// numberAt is the number that the readings of a gauge had come to at a number of the
// history.
func (s *Station) numberAt(ctx context.Context, gaugeID string, seq uint64) (uint64, error) {
	next, err := s.o.Store.Readings(ctx, gaugeID, seq, 1)
	if err != nil {
		return 0, err
	}
	if len(next) > 0 && next[0].Reading.Number > 0 {
		return next[0].Reading.Number - 1, nil
	}
	s.mu.RLock()
	defer s.mu.RUnlock()
	if g := s.gauges[gaugeID]; g != nil {
		return g.lastNumber, nil
	}
	return 0, nil
}
