package job

import (
	"context"
	"errors"
	"fmt"
	"io"

	"gauged/client"
	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// session leads through one job. Its loop is the only writer of its fields and
// of its output; what happens elsewhere reaches it over channels.
type session struct {
	d   *app.Daemon
	in  <-chan string
	out io.Writer
	by  string // who works on it

	job      *pb.Job
	away     bool                        // the daemon is lost
	told     map[uint64]string           // readings that were shown, with the reason for the discard
	warned   map[string]bool             // warnings that were shown
	notice   string                      // last notice shown
	findings string                      // last findings shown with "measure again"
	question string                      // last question put
	fitted   *string                     // answer to which part was fitted, until its thickness is known
	doubted  *pb.RecordFittedPartRequest // that is recorded when it is said to be meant
	refit    bool                        // another part is fitted after the verdict
	refitAt  string                      // at which of several places
	asked    string                      // a part that no family has, which was asked back
	modes    map[string]pb.GaugeMode     // of the gauges: how they give readings
	waiting  []string                    // lines that were typed during a capture
	quits    bool                        // q was among them
}

// newSession returns a session that reads lines until ctx ends or the input does.
func newSession(ctx context.Context, a *app.App, d *app.Daemon, by string) *session {
	return &session{d: d, in: app.ReadLines(ctx, a.Stdin), out: a.Stdout, by: by, told: map[uint64]string{}, warned: map[string]bool{}, modes: map[string]pb.GaugeMode{}}
}

func (s *session) sayf(format string, args ...any) { fmt.Fprintf(s.out, format+"\n", args...) }

func (s *session) closed() bool { return s.job.GetStage() == pb.JobStage_JOB_STAGE_CLOSED }

// event is what the follower of the job tells the session; one field is set.
type event struct {
	job  *pb.Job
	lost error
	back bool
	end  error
}

// run goes on with the job until it is closed or left.
func (s *session) run(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	events := s.follow(ctx)
	defer func() {
		cancel()
		for range events { // ends when the follower has ended
		}
	}()
	s.tell()
	s.put()
	live := events
	for !s.closed() {
		if len(s.waiting) > 0 {
			line := s.waiting[0]
			s.waiting = s.waiting[1:]
			if s.line(ctx, line) {
				return s.leave()
			}
			continue
		}
		select {
		case <-ctx.Done():
			return s.leave()
		case e, more := <-live:
			if !more {
				live = nil
				continue
			}
			if e.end != nil {
				return e.end
			}
			s.event(e)
		case line, more := <-s.in:
			if !more {
				return s.leave()
			}
			if quit := s.line(ctx, line); quit {
				return s.leave()
			}
		}
	}
	return s.result()
}

// follow watches the job until it is closed or ctx ends, then closes the channel.
func (s *session) follow(ctx context.Context) <-chan event {
	events := make(chan event)
	send := func(e event) error {
		select {
		case events <- e:
			return nil
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	watched := s.d.WatchJob(ctx, &pb.WatchJobRequest{JobId: s.job.GetId()}, client.Outage{
		Patient: true, // an outage before the first message is no error either
		Lost:    func(err error) { _ = send(event{lost: s.d.Explain(err)}) },
		Back:    func() { _ = send(event{back: true}) },
	})
	go func() {
		defer close(events)
		if err := app.Follow(s.d, watched, func(m *pb.WatchJobResponse) error { return send(event{job: m.GetJob()}) }); err != nil {
			_ = send(event{end: err})
		}
	}()
	return events
}

// event takes in what the follower tells.
func (s *session) event(e event) {
	switch {
	case e.lost != nil:
		s.away = true
		s.sayf("\nThe session has %s. Waiting for it. What was stored is safe. q leaves.", app.LossText(s.d, e.lost))
	case e.back:
		s.away = false
		s.question = ""
		s.sayf("The daemon is back.")
	default:
		s.update(e.job)
	}
}

// update takes in the job after a change, or as it stands after an outage.
func (s *session) update(j *pb.Job) {
	if j.GetLastSeq() < s.job.GetLastSeq() {
		return // an answer has overtaken the watch
	}
	if j.GetStage() != s.job.GetStage() {
		s.fitted, s.doubted, s.refit, s.refitAt, s.asked = nil, nil, false, "", ""
	}
	s.job = j
	s.tell()
	s.put()
}

// leave ends the session before the job is closed.
func (s *session) leave() error {
	s.sayf("\nJob %d stays open. Continue it with: gaugectl job run --job %d", s.job.GetId(), s.job.GetId())
	return s.result()
}

// result is the error that the state of the job ends the session with. There
// is none when the unit conforms, and when the daemon let the job be closed
// without a reason, which it does for finished jobs only.
func (s *session) result() error {
	e := s.job.GetEvaluation()
	if err := app.VerdictError(e); err != nil {
		return err
	}
	decided := s.job.GetStage() == pb.JobStage_JOB_STAGE_DECIDED
	switch {
	case decided && (e.GetOutcome() == pb.Outcome_OUTCOME_CONFORMS || e.GetOutcome() == pb.Outcome_OUTCOME_CALCULATED), s.closed() && s.job.GetCloseReason() == "":
		return nil
	case s.closed():
		return fmt.Errorf("job %d was closed without a verdict: %s", s.job.GetId(), s.job.GetCloseReason())
	default:
		return fmt.Errorf("job %d was left without a verdict", s.job.GetId())
	}
}

// refused says why something was not done; the session goes on.
func (s *session) refused(err error) {
	var unreachable *app.UnreachableError
	if errors.As(err, &unreachable) {
		s.sayf("No answer from the daemon. When it is back, you see whether the step was stored.")
		return
	}
	s.sayf("%s %v", show.Say("job.refused"), err)
}
