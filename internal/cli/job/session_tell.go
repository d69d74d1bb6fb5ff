package job

import (
	"cmp"
	"fmt"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// tell shows what is new in the job: readings, discards, notices, and why to
// measure again.
func (s *session) tell() {
	e := s.job.GetEvaluation()
	for _, m := range e.GetMeasurements() {
		s.tellMeasurement(m)
	}
	if warnings := untold(s.warned, s.job.GetWarnings()); len(warnings) > 0 {
		text := show.Rendered(renderWarnings, warnings)
		for line := range strings.Lines(text) {
			s.sayf("  %s", strings.TrimSuffix(line, "\n"))
		}
	}
	if notice := show.Told(s.job.GetNotice()); notice != s.notice {
		s.notice = notice
		if notice != "" {
			s.sayf("  ! %s", notice)
		}
	}
	findings := ""
	if e.GetOutcome() == pb.Outcome_OUTCOME_MEASURE_AGAIN {
		for _, f := range e.GetFindings() {
			findings += show.Told(f.GetMessage()) + "\n"
		}
		if findings != s.findings {
			s.sayf("")
			show.RenderAnswer(s.out, e)
			s.question = ""
		}
	}
	s.findings = findings
}

// ofRepeats counts a reading among those that are wanted; more may be taken.
func ofRepeats(n, wanted int) string {
	if n > wanted {
		return fmt.Sprintf("%d, %d are needed", n, wanted)
	}
	return fmt.Sprintf("%d of %d", n, wanted)
}

// tellMeasurement shows readings and discards that were not shown before.
func (s *session) tellMeasurement(m *pb.Measurement) {
	news, count := false, 0
	for _, r := range m.GetReadings() {
		if r.GetDiscardReason() == "" {
			count++
		}
		before, shown := s.told[r.GetSeq()]
		if shown && before == r.GetDiscardReason() || r.GetSeq() == 0 { // a part that is in was measured when it was fitted
			continue
		}
		news = true
		s.told[r.GetSeq()] = r.GetDiscardReason()
		if r.GetDiscardReason() != "" {
			s.sayf("  #%d  %s  does not count: %s", r.GetSeq(), show.ReadingText(r.GetValue()), r.GetDiscardReason())
			continue
		}
		s.sayf("  #%d  %s  %s, reading %s%s", r.GetSeq(), show.ReadingValueText(r), m.GetName(), ofRepeats(count, int(m.GetRepeats())), from(r))
	}
	if !news {
		return
	}
	if spread := show.SpreadText(m); spread != "" {
		s.sayf("      %s", spread)
	}
	if m.GetComplete() {
		s.sayf("  %s is %s.", m.GetName(), show.MeasuredText(m))
	}
}

// from says where a reading came from; the daemon names typed ones as such.
func from(r *pb.TakenReading) string {
	if r.GetGaugeId() == "" || strings.HasPrefix(r.GetGaugeId(), "typed") {
		return ", typed in"
	}
	return ", from " + r.GetGaugeId()
}

// put shows the present question, unless it stands there already.
func (s *session) put() {
	if s.away || s.closed() {
		return
	}
	if text := s.asking(); text != s.question {
		s.question = text
		s.sayf("\n%s", text)
	}
}

// asking is the present question with what is needed to answer it.
func (s *session) asking() string {
	switch s.job.GetStage() {
	case pb.JobStage_JOB_STAGE_MEASURE:
		return s.askMeasure(s.job.GetProcedure().GetMeasure())
	case pb.JobStage_JOB_STAGE_VERIFY:
		return s.askMeasure(s.job.GetProcedure().GetVerify())
	case pb.JobStage_JOB_STAGE_CHOOSE:
		return s.askPart()
	case pb.JobStage_JOB_STAGE_FIT:
		return s.askFitted()
	case pb.JobStage_JOB_STAGE_DECIDED:
		return s.askVerdict()
	default:
		return "This gaugectl is too old for the stage of this job: q leaves."
	}
}

func (s *session) askMeasure(steps []*pb.MeasurementStep) string {
	if s.unproven() {
		return "Nothing is measured after fitting in this procedure. Enter = close the job."
	}
	due := s.job.GetMeasuring()
	if due == "" {
		return "d REASON = discard the last reading, d #NUMBER REASON = another; then measure again."
	}
	text := due
	for i, step := range steps {
		if step.GetName() == due {
			text = show.StepText(step, i+1, len(steps))
		}
	}
	switch gauge := show.GaugeOf(s.job, due); {
	case len(stepOf(s.job, due).GetCodes()) > 0:
		return text + "  " + s.typeIt()
	case gauge != "" && movingStep(s.job, due):
		return text + fmt.Sprintf("  Gauge %s: Enter = begin, then move the shaft.", gauge)
	case gauge == "", s.modes[gauge] == show.ModeTyped:
		return text + "  " + s.typeIt()
	case s.modes[gauge] == show.ModeButton:
		return text + fmt.Sprintf("  Gauge %s: press its button.", gauge)
	default:
		return text + fmt.Sprintf("  Gauge %s: Enter = take its present reading.", gauge)
	}
}

func (s *session) typeIt() string {
	if codes := stepOf(s.job, s.job.GetMeasuring()).GetCodes(); len(codes) > 0 {
		return "Type what you read: " + strings.Join(codes, ", ") + "."
	}
	example := "1.98 mm"
	if u := stepOf(s.job, s.job.GetMeasuring()).GetUnit(); u != s.job.GetProcedure().GetUnit() && u != pb.Unit_UNIT_UNSPECIFIED {
		example = wire.FromUnit(u).Quantity("12")
	} else if s.job.GetProcedure().GetUnit() == pb.Unit_UNIT_INCH {
		example = "0.078 in"
	}
	text := fmt.Sprintf("No gauge is connected for it: type the value with its unit, such as %s.", example)
	if gauge := show.GaugeOf(s.job, s.job.GetMeasuring()); gauge != "" {
		text = fmt.Sprintf("Read gauge %s and type the value with its unit, such as %s.", gauge, example)
	}
	if stepOf(s.job, s.job.GetMeasuring()).GetMayBeUnreadable() {
		text += " For a mark that cannot be read, type: unreadable."
	}
	return text
}

// unproven reports whether the part is fitted and the procedure wants no proof.
func (s *session) unproven() bool {
	return s.job.GetStage() == pb.JobStage_JOB_STAGE_VERIFY && len(s.job.GetProcedure().GetVerify()) == 0
}

func (s *session) askPart() string {
	e := s.job.GetEvaluation()
	text := show.Rendered(show.RenderEvaluation, e) + "\n"
	if !s.recommended() {
		return text + "p PART REASON = choose a part anyway, d #NUMBER REASON = discard a reading and measure again."
	}
	return text + fmt.Sprintf("Enter = choose %s, p PART REASON = choose another part.", cmp.Or(show.RecommendedName(e), "it"))
}

// askVerdict shows the verdict, has it signed, and then the job closed.
func (s *session) askVerdict() string {
	if s.refit {
		return s.askFitted()
	}
	if s.job.GetVerified() {
		return "The verdict is signed. Enter = close the job."
	}
	text := show.Rendered(show.RenderAnswer, s.job.GetEvaluation()) + "Enter = sign the verdict, d REASON = discard the last reading"
	if s.goesOn() {
		text += ", n = next round, with the fitted part and the measured result"
	}
	if allFittedText(s.job.GetEvaluation()) != "" {
		text += ", f = another part was fitted"
	}
	if text += "."; badProof(s.job) && s.job.GetNoNextRound() != nil {
		text += "\n" + show.Say("job.round.none") + " " + show.Sentence(s.job.GetNoNextRound())
	}
	return text
}

// badProof reports whether a proof was measured that does not conform or is undecided.
func badProof(j *pb.Job) bool {
	o := j.GetEvaluation().GetOutcome()
	return allFittedText(j.GetEvaluation()) != "" && (o == pb.Outcome_OUTCOME_DOES_NOT_CONFORM || o == pb.Outcome_OUTCOME_UNDECIDED)
}

// missedText says how a proof ended that is not right.
func missedText(j *pb.Job) string {
	if j.GetEvaluation().GetOutcome() == pb.Outcome_OUTCOME_UNDECIDED {
		return "is undecided"
	}
	return "failed"
}

// goesOn reports whether the next round can begin. A daemon that knows no rounds
// says neither.
func (s *session) goesOn() bool {
	return badProof(s.job) && s.job.GetRound() > 0 && s.job.GetNoNextRound() == nil
}

func (s *session) askFitted() string {
	if s.doubted != nil {
		return askFitted
	}
	if places := s.places(); s.refit && len(places) > 0 && s.refitAt == "" {
		return "At which place was another part fitted: " + strings.Join(places, ", ") + "?"
	}
	at := show.Only(s.place() != "", " at "+s.place())
	if s.fitted != nil {
		return fmt.Sprintf("Measured thickness of %s%s, with its unit? Enter = not measured.", cmp.Or(*s.fitted, s.settledPart()), at)
	}
	if s.refit {
		return s.askInstead(at)
	}
	return fmt.Sprintf("Fit %s%s.\nWhich part was fitted%s? Enter = %s, or the number on the part.", s.settledGrade(), at, at, s.settledPart())
}

// settledGrade names the part that was settled on.
func (s *session) settledGrade() string { return s.gradeOf(s.settledPart()) }

// gradeOf names a part with its marking and thickness, where it is one of the family.
func (s *session) gradeOf(part string) string {
	for _, f := range s.job.GetEvaluation().GetFits() {
		for _, c := range f.GetCandidates() {
			if c.GetGrade().GetPart() == part {
				return show.GradeText(c.GetGrade())
			}
		}
	}
	return part
}

func (s *session) settledPart() string {
	return cmp.Or(chosenAt(s.job, s.place()), "the chosen part")
}

// unfitted is the first of several places without a part; empty where there is
// only one place, or all have theirs.
func (s *session) unfitted() string {
	for _, f := range s.job.GetEvaluation().GetFits() {
		if f.GetFitted() == nil && f.GetWaits() == "" {
			return f.GetPlace()
		}
	}
	return ""
}
