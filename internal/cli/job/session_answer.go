package job

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/grpc"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

const sessionHelp = `What you can type:
  Enter          take the present reading, or answer yes
  1.98 mm        a value read off a gauge, with its unit (see gaugectl job enter --help)
  d REASON       discard the last reading; d #NUMBER REASON discards that one
  p PART REASON  choose another part than the recommended one
  f              after the verdict: another part was fitted
  n              after a failed proof: begin the next round
  ?              this help
  q              leave; the job stays open, and a capture that runs is cancelled
To close a job for good: gaugectl job close JOB --reason WHY`

// line acts upon one line of input and reports whether to leave.
func (s *session) line(ctx context.Context, line string) (quit bool) {
	line = strings.TrimSpace(line)
	word, rest, _ := strings.Cut(line, " ")
	rest = strings.TrimSpace(rest)
	switch {
	case word == "q" && rest == "":
		return true
	case word == "?":
		s.sayf("%s", sessionHelp)
	case s.away:
		s.sayf("%s no connection to the daemon.", show.Say("job.refused"))
	case word == "d":
		s.discard(ctx, rest)
	default:
		s.answer(ctx, line, word, rest)
	}
	return s.quits
}

// answer takes the line as the answer to the present question.
func (s *session) answer(ctx context.Context, line, word, rest string) {
	switch s.job.GetStage() {
	case pb.JobStage_JOB_STAGE_MEASURE, pb.JobStage_JOB_STAGE_VERIFY:
		s.measured(ctx, line)
	case pb.JobStage_JOB_STAGE_CHOOSE:
		s.settled(ctx, line, word, rest)
	case pb.JobStage_JOB_STAGE_FIT:
		s.fittedIs(ctx, line)
	case pb.JobStage_JOB_STAGE_DECIDED:
		s.decided(ctx, line)
	default:
		s.notUnderstood(line)
	}
}

// step makes one call that changes the job, takes in the job after it and
// reports whether it was done.
func step[Request any, Response stepAnswer](ctx context.Context, s *session,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request,
) bool {
	answer, err := app.Ask(ctx, s.d, call, request)
	if err != nil {
		s.refused(err)
		return false
	}
	s.update(answer.GetJob())
	return true
}

func (s *session) notUnderstood(line string) {
	s.sayf("%q is not an answer here; ? shows what can be typed.", line)
}

func (s *session) discard(ctx context.Context, rest string) {
	request := &pb.DiscardReadingRequest{JobId: s.job.GetId(), By: s.by, Reason: rest}
	if number, reason, _ := strings.Cut(rest, " "); strings.HasPrefix(number, "#") {
		seq, err := strconv.ParseUint(number[1:], 10, 64)
		if err != nil {
			s.notUnderstood("d " + rest)
			return
		}
		request.ReadingSeq, request.Reason = seq, strings.TrimSpace(reason)
	}
	if request.GetReason() == "" {
		s.sayf("Say why it does not count: d REASON, or d #NUMBER REASON.")
		return
	}
	step(ctx, s, s.d.Jobs.DiscardReading, request)
}

// measured takes a reading: an empty line captures, anything else is a value.
func (s *session) measured(ctx context.Context, line string) {
	gauge := show.GaugeOf(s.job, s.job.GetMeasuring())
	switch {
	case line == "" && s.unproven():
		s.close(ctx)
	case line == "" && (gauge == "" || s.modes[gauge] == show.ModeTyped):
		s.sayf("%s", s.typeIt())
	case line == "" && s.modes[gauge] == show.ModeButton:
		s.sayf("Gauge %s sends at the press of its button only: press it.", gauge)
	case line == "" && movingStep(s.job, s.job.GetMeasuring()):
		s.captureMotion(ctx)
	case line == "":
		step(ctx, s, s.d.Jobs.CaptureReading, &pb.CaptureReadingRequest{JobId: s.job.GetId(), By: s.by})
	case len(stepOf(s.job, s.job.GetMeasuring()).GetCodes()) > 0, line == "unreadable":
		step(ctx, s, s.d.Jobs.EnterReading, &pb.EnterReadingRequest{JobId: s.job.GetId(), Shown: line, By: s.by})
	case !strings.ContainsRune("+-.0123456789", rune(line[0])):
		s.notUnderstood(line)
	default:
		digits, unit, err := s.typedFor(line)
		if err != nil {
			s.sayf("Not taken: %v", err)
			return
		}
		step(ctx, s, s.d.Jobs.EnterReading, &pb.EnterReadingRequest{JobId: s.job.GetId(), Shown: digits, Unit: unit, By: s.by})
	}
}

// typedFor reads a value for the measurement that is due; where plain numbers
// are wanted, one needs no unit.
func (s *session) typedFor(line string) (digits string, unit pb.Unit, err error) {
	digits, symbol := app.SplitUnit(line)
	wanted := wire.FromUnit(stepOf(s.job, s.job.GetMeasuring()).GetUnit())
	switch {
	case symbol == "" && wanted == gauge.One:
		line += " " + gauge.One.String()
	case symbol == "" && wanted.Known():
		return "", 0, gauge.MissingUnit(digits, wanted)
	}
	return app.TypedValue(line)
}

// captureMotion captures from a moving indicator. What is typed meanwhile waits, but
// q gives the capture up and leaves.
func (s *session) captureMotion(ctx context.Context) {
	ctx, giveUp := context.WithCancel(ctx)
	defer giveUp()
	type result struct {
		job *pb.Job
		err error
	}
	done := make(chan result, 1)
	request := &pb.CaptureReadingRequest{JobId: s.job.GetId(), By: s.by}
	go func() {
		j, err := followMotion(ctx, s.d, request, func(line string) { s.sayf("%s", line) })
		done <- result{j, err}
	}()
	for lines := s.in; ; {
		select {
		case r := <-done:
			switch {
			case r.err != nil && s.quits:
				s.sayf("Measuring was stopped; nothing was taken.")
			case r.err != nil:
				s.refused(r.err)
			default:
				s.update(r.job)
			}
			return
		case line, more := <-lines:
			switch {
			case !more:
				lines = nil
			case strings.TrimSpace(line) == "q":
				s.quits = true
				giveUp()
			default:
				s.waiting = append(s.waiting, line)
			}
		}
	}
}

// recommended reports whether there is a part to say yes to.
func (s *session) recommended() bool {
	return s.job.GetEvaluation().GetOutcome() == pb.Outcome_OUTCOME_FIT_PART
}

// settled chooses the recommended part, or another with a reason.
func (s *session) settled(ctx context.Context, line, word, rest string) {
	request := &pb.ChoosePartRequest{JobId: s.job.GetId(), By: s.by}
	switch {
	case line == "" && s.recommended():
	case line == "":
		s.sayf("No part is recommended: name one with p PART REASON, or measure again.")
		return
	case word == "p":
		part, reason, _ := strings.Cut(rest, " ")
		if reason = strings.TrimSpace(reason); reason == "" {
			s.sayf("Name the part and say why: p PART REASON.")
			return
		}
		request.Part, request.Reason = part, reason
	default:
		s.notUnderstood(line)
		return
	}
	step(ctx, s, s.d.Jobs.ChoosePart, request)
}

// fittedIs takes the place first, where another part was fitted at one of several,
// then the part number and its thickness.
func (s *session) fittedIs(ctx context.Context, line string) {
	if s.doubted != nil {
		s.confirmed(ctx, line)
		return
	}
	if places := s.places(); s.refit && len(places) > 0 && s.refitAt == "" {
		if !slices.Contains(places, line) {
			s.notUnderstood(line)
			return
		}
		s.refitAt = line
		s.put()
		return
	}
	if s.refit && s.fitted == nil && line == "" {
		if line = s.instead(); line == "" {
			s.refit = false
			s.put()
			return
		}
	}
	if s.fitted == nil && s.unknownPart(line) {
		return
	}
	if s.fitted == nil {
		s.fitted = &line
		s.put()
		return
	}
	request := &pb.RecordFittedPartRequest{JobId: s.job.GetId(), Place: s.place(), Part: *s.fitted, By: s.by}
	if line != "" {
		digits, unit, err := app.TypedValue(line, gauge.KindLength)
		if err != nil {
			s.sayf("Not taken: %v", err)
			return
		}
		request.Thickness, request.Unit = digits, unit
	}
	s.fitted = nil // the next question is for another place, or which part it was
	doubts, err := doubtsAbout(ctx, s.d, request)
	if err != nil {
		s.refused(err)
		s.put()
		return
	}
	s.doubted = request
	if doubts == "" {
		s.confirmed(ctx, "yes")
		return
	}
	s.sayf("")
	s.sayf("%s", strings.TrimSuffix(doubts, "\n"))
	s.put()
}

// unknownPart asks back where the family has neither such a part nor such a mark:
// the same answer again records it all the same.
func (s *session) unknownPart(line string) bool {
	var known []string
	for _, f := range s.job.GetEvaluation().GetFits() {
		if f.GetPlace() != s.place() {
			continue
		}
		for _, c := range f.GetCandidates() {
			known = append(known, c.GetGrade().GetPart(), c.GetGrade().GetMark())
		}
	}
	if line == "" || line == s.asked || len(known) == 0 || slices.Contains(known, line) {
		s.asked = ""
		return false
	}
	s.asked = line
	s.sayf("%q is neither a part nor a mark of the family. Type the number on the part, or the same again to record it anyway.", line)
	return true
}

// places are the names of the places, where there are several.
func (s *session) places() (names []string) {
	for _, f := range s.job.GetEvaluation().GetFits() {
		if f.GetPlace() != "" {
			names = append(names, f.GetPlace())
		}
	}
	return names
}

// place is the one that a fitted part is asked for.
func (s *session) place() string {
	if s.refit {
		return s.refitAt
	}
	return s.unfitted()
}

// decided signs the verdict and closes the job, goes on with the next round, or
// takes another part.
func (s *session) decided(ctx context.Context, line string) {
	switch {
	case s.refit:
		s.fittedIs(ctx, line)
	case line == "" && s.job.GetVerified():
		s.close(ctx)
	case line == "":
		step(ctx, s, s.d.Jobs.VerifyJob, &pb.VerifyJobRequest{JobId: s.job.GetId(), By: s.by})
	case line == "n" && s.goesOn():
		step(ctx, s, s.d.Jobs.BeginRound, &pb.BeginRoundRequest{JobId: s.job.GetId(), By: s.by})
	case line == "f":
		s.refit, s.refitAt = true, ""
		s.put()
	default:
		s.notUnderstood(line)
	}
}

func (s *session) close(ctx context.Context) {
	if step(ctx, s, s.d.Jobs.CloseJob, &pb.CloseJobRequest{JobId: s.job.GetId(), By: s.by}) {
		s.sayf("Job %d is closed.", s.job.GetId())
	}
}
