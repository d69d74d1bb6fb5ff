package station

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate"
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
		d.notice(open, p.From+": "+strings.TrimPrefix(err.Error(), gauge.ErrRefused.Error()+": "))
		return open, nil
	})
	return errors.Join(err, failed)
}

// openWith lists the open jobs that use one of the gauges; all when none is named.
func (s *Station) openWith(gauges []string) (found []*job.Job) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	for _, j := range s.jobs {
		if len(gauges) == 0 || slices.ContainsFunc(gauges, j.Uses) {
			found = append(found, j)
		}
	}
	return found
}

// pressedFor finds the one job that a press can be for.
func (s *Station) pressedFor(p Press) (*job.Job, error) {
	found, remedy := s.openWith(p.Gauges), `name the gauges of its bench under "gauges" in its definition`
	if len(found) == 0 && slices.Equal(p.Gauges, []string{p.From}) {
		// The button of a gauge that measures in no job is a switch without a bench.
		p.Gauges, remedy = nil, "use a foot switch, which can name the gauges of its bench"
		found = s.openWith(nil)
	}
	if len(found) == 1 {
		return found[0], nil
	}
	of := "is open"
	if len(p.Gauges) > 0 {
		of = "with " + strings.Join(p.Gauges, " or ") + " is open"
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%w: %s was pressed, but no job %s", gauge.ErrRefused, p.From, of)
	}
	return nil, fmt.Errorf("%w: %s was pressed, but more than one job %s: %s", gauge.ErrRefused, p.From, of, remedy)
}

// goOn takes the step that needs no more than a nod: the recommended part is
// settled, the settled part is fitted when it is what should be, a verdict that
// conforms is signed, and the job is closed. All else is done by hand.
func (s *Station) goOn(ctx context.Context, j *job.Job) (err error) {
	good := j.Evaluation.Outcome == evaluate.Conforms || j.Evaluation.Outcome == evaluate.Calculated
	switch {
	case j.Stage == job.StageChoose:
		_, err = s.Choose(ctx, ChooseRequest{Job: j.ID})
	case j.Stage == job.StageFit:
		err = s.fitAsExpected(ctx, j)
	case j.Stage == job.StageDecided && !good:
		err = fmt.Errorf("%w: job %d %s: that is signed by hand", gauge.ErrRefused, j.ID, j.Evaluation.Outcome)
	case j.Stage == job.StageDecided && !j.Verified:
		_, err = s.Verify(ctx, j.ID, "")
	case j.Stage == job.StageDecided, j.Stage == job.StageVerify && len(j.Procedure.Verify) == 0:
		_, err = s.CloseJob(ctx, j.ID, "", "")
	default:
		err = fmt.Errorf("%w: job %d cannot go on: %s", gauge.ErrRefused, j.ID, j.Missing())
	}
	return err
}

// fitAsExpected fits the parts that were settled on, unless a person should be asked
// first: a press cannot answer.
func (s *Station) fitAsExpected(ctx context.Context, j *job.Job) error {
	told, _, err := s.Foretell(ctx, FitRequest{Job: j.ID})
	if err != nil {
		return err
	}
	for _, f := range told {
		if f.Unexpected {
			return fmt.Errorf("%w: is it fitted all the same? %s: say it by hand, a press does not answer that", gauge.ErrRefused, f.Says)
		}
	}
	for _, f := range told { // by name: another part may be settled on meanwhile
		if _, err := s.Fit(ctx, FitRequest{Job: j.ID, Place: f.Place, Part: f.Part}); err != nil {
			return err
		}
	}
	return nil
}
