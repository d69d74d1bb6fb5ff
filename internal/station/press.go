package station

import (
	"context"
	"errors"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

// Press is a press of a foot switch, or of a data button that is for something
// else than its reading.
type Press struct {
	From   string // id of the switch or gauge
	Means  gauge.Meaning
	Gauges []string // of its bench; empty: of any
}

// Press does what a press is for in the open job of its bench. Why nothing was
// done is said in that job's notice, too.
func (s *Station) Press(ctx context.Context, p Press) error {
	j, err := s.pressedFor(p)
	if err != nil {
		return err
	}
	switch p.Means {
	case gauge.MeansCapture:
		_, _, err = s.Capture(ctx, CaptureRequest{Job: j.ID})
	case gauge.MeansDiscard:
		_, err = s.Discard(ctx, j.ID, 0, "discarded with "+p.From, "")
	default:
		err = s.goOn(ctx, j)
	}
	if err == nil {
		return nil
	}
	_, failed := s.change(ctx, func(d *draft) (*job.Job, error) {
		open, gone := d.openJob(j.ID)
		if gone != nil {
			return nil, gone
		}
		d.notice(open, gauge.Say("notice.pressed", gauge.Text("from", p.From), gauge.Because("why", err)))
		return open, nil
	})
	return errors.Join(err, failed)
}

// openWith lists the open jobs on the bench that use one of the gauges; all when none is named.
func (s *Station) openWith(gauges []string) (found []*job.Job) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	for _, j := range s.jobs {
		if j.Aside == nil && (len(gauges) == 0 || slices.ContainsFunc(gauges, j.Uses)) {
			found = append(found, j)
		}
	}
	return found
}

// pressedFor finds the one job that a press can be for.
func (s *Station) pressedFor(p Press) (*job.Job, error) {
	found, button := s.openWith(p.Gauges), false
	if len(found) == 0 && slices.Equal(p.Gauges, []string{p.From}) {
		// The button of a gauge that measures in no job is a switch without a bench.
		p.Gauges, button = nil, true
		found = s.openWith(nil)
	}
	if len(found) == 1 {
		return found[0], nil
	}
	args := []gauge.Arg{gauge.Text("from", p.From)}
	if len(p.Gauges) > 0 {
		args = append(args, gauge.Texts("gauges", p.Gauges))
	}
	switch {
	case len(found) == 0:
		return nil, gauge.Refused("refusal.press.no-job", args...)
	case button:
		return nil, gauge.Refused("refusal.press.many-jobs-button", args...)
	}
	return nil, gauge.Refused("refusal.press.many-jobs", args...)
}

// goOn takes the step that needs no more than a nod, as the one key of the page does:
// the part that was settled on, or is recommended, is fitted when it is what should be;
// a good verdict is signed and the job closed, where nobody has to prove who they are. All
// else is done by hand.
func (s *Station) goOn(ctx context.Context, j *job.Job) (err error) {
	switch {
	case j.Stage == job.StageChoose, j.Stage == job.StageFit:
		err = s.fitAsExpected(ctx, j)
	case j.EndsWell() && s.o.Proven:
		err = gauge.Refused("refusal.press.proof", gauge.Count("job", j.ID))
	case j.EndsWell():
		_, err = s.SignAndClose(ctx, j.ID, "", "")
	case j.Stage == job.StageDecided:
		err = gauge.Refused("refusal.press.by-hand", gauge.Count("job", j.ID), gauge.WordOf("outcome", "outcome", j.Evaluation.Outcome))
	default:
		err = gauge.Refused("refusal.press.cannot-go-on", gauge.Count("job", j.ID), j.Missing())
	}
	return err
}

// fitAsExpected fits the parts that were settled on or are recommended, unless a person should be asked
// first: a press cannot answer.
func (s *Station) fitAsExpected(ctx context.Context, j *job.Job) error {
	told, _, err := s.Foretell(ctx, FitRequest{Job: j.ID})
	if err != nil {
		return err
	}
	for _, f := range told {
		if f.Unexpected {
			return gauge.Refused("refusal.press.asks", gauge.Nested("why", f.Says))
		}
	}
	for _, f := range told { // by name: another part may be settled on meanwhile
		if _, err := s.Fit(ctx, FitRequest{Job: j.ID, Place: f.Place, Part: f.Part}); err != nil {
			return err
		}
	}
	return nil
}
