package job

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// renderJob writes a job: the answer and what to do next, then which job it
// is, then the detail.
func renderJob(w io.Writer, j *pb.Job) {
	renderJobAnswer(w, j, j.GetWarnings())
	renderJobHead(w, j)
	show.RenderDetail(w, j.GetEvaluation())
}

// renderJobAnswer writes warnings of the job, where it stands, why, and the next step.
func renderJobAnswer(w io.Writer, j *pb.Job, warnings []*pb.Message) {
	renderWarnings(w, warnings)
	if j.GetNotice() != nil {
		fmt.Fprintf(w, "! %s\n", show.Told(j.GetNotice()))
	}
	show.RenderAnswer(w, j.GetEvaluation())
	if next := nextStep(j); next != "" {
		fmt.Fprintf(w, "Next: %s\n", next)
	}
}

// nextStep says which command goes on with the job.
func nextStep(j *pb.Job) string {
	switch j.GetStage() {
	case pb.JobStage_JOB_STAGE_MEASURE, pb.JobStage_JOB_STAGE_VERIFY:
		if j.GetMeasuring() == "" {
			return nextWithoutMeasuring(j)
		}
		if codes := stepOf(j, j.GetMeasuring()).GetCodes(); len(codes) > 0 {
			return fmt.Sprintf("read %s (%s) and type it in: gaugectl job enter %d MARK", j.GetMeasuring(), strings.Join(codes, ", "), j.GetId())
		}
		if gauge := show.GaugeOf(j, j.GetMeasuring()); gauge != "" && movingStep(j, j.GetMeasuring()) {
			return fmt.Sprintf("capture %s from gauge %s while the shaft is moved: gaugectl job capture %d", j.GetMeasuring(), gauge, j.GetId())
		} else if slices.Contains(j.GetTypedGaugeIds(), gauge) {
			return fmt.Sprintf("measure %s with gauge %s and type it in: gaugectl job enter %d VALUE UNIT", j.GetMeasuring(), gauge, j.GetId())
		} else if gauge != "" {
			return fmt.Sprintf("measure %s with gauge %s: press its button, or gaugectl job capture %d", j.GetMeasuring(), gauge, j.GetId())
		}
		return fmt.Sprintf("measure %s and type it in: gaugectl job enter %d VALUE UNIT", j.GetMeasuring(), j.GetId())
	case pb.JobStage_JOB_STAGE_ASIDE:
		return fmt.Sprintf("take it up again: gaugectl job resume %d", j.GetId())
	case pb.JobStage_JOB_STAGE_CHOOSE:
		if j.GetEvaluation().GetOutcome() != pb.Outcome_OUTCOME_FIT_PART {
			return fmt.Sprintf("check the set-up and measure again, or choose a part yourself: gaugectl job choose %d PART%s --reason WHY", j.GetId(), placeFlag(j, true))
		}
		return fmt.Sprintf("choose the part: gaugectl job choose %d", j.GetId())
	case pb.JobStage_JOB_STAGE_FIT:
		return fmt.Sprintf("fit %s, measure its thickness, and record it: gaugectl job fit %d [PART]%s --thickness VALUE",
			cmp.Or(chosenText(j), "the part"), j.GetId(), placeFlag(j, false))
	case pb.JobStage_JOB_STAGE_DECIDED:
		if badProof(j) && j.GetRound() > 0 {
			if j.GetNoNextRound() != nil {
				return fmt.Sprintf("find the cause. %s %s Or fit another part and record it: gaugectl job fit %d PART%s --thickness VALUE", show.Say("job.round.none"), show.Sentence(j.GetNoNextRound()), j.GetId(), placeFlag(j, true))
			}
			return fmt.Sprintf("find the cause, then %s: gaugectl job round %d; or take more readings, or close the job: gaugectl job close %d --reason WHY", show.Small(show.Say("job.round")), j.GetId(), j.GetId())
		}
		if j.GetEvaluation().GetOutcome() == pb.Outcome_OUTCOME_UNDECIDED {
			return fmt.Sprintf("take more readings of a measurement: gaugectl job capture %d --measurement NAME; or close the job: gaugectl job close %d --reason WHY", j.GetId(), j.GetId())
		}
		if j.GetEvaluation().GetOutcome() == pb.Outcome_OUTCOME_DOES_NOT_CONFORM && allFittedText(j.GetEvaluation()) != "" {
			return fmt.Sprintf("find the cause, fit another part and record it: gaugectl job fit %d PART%s --thickness VALUE", j.GetId(), placeFlag(j, true))
		}
		if j.GetEvaluation().GetOutcome() == pb.Outcome_OUTCOME_WRONG_PART {
			return fmt.Sprintf("get the right part, discard the reading of the wrong one and measure the right one: gaugectl job discard %d READING --reason WHY", j.GetId())
		}
		if j.GetVerified() {
			return fmt.Sprintf("close the job: gaugectl job close %d", j.GetId())
		}
		return fmt.Sprintf("sign the verdict: gaugectl job verify %d; then close the job: gaugectl job close %d", j.GetId(), j.GetId())
	default:
		return ""
	}
}

// placeFlag is the flag that says which of several places a part is for: the first
// where none is fitted yet or, where the person decides which one it is, a word for it.
func placeFlag(j *pb.Job, decides bool) string {
	fits := j.GetEvaluation().GetFits()
	if len(fits) < 2 {
		return ""
	}
	for _, f := range fits {
		if f.GetFitted() == nil && !decides {
			return " --place " + f.GetPlace()
		}
	}
	return " --place PLACE"
}

func nextWithoutMeasuring(j *pb.Job) string {
	if j.GetStage() == pb.JobStage_JOB_STAGE_VERIFY && len(j.GetProcedure().GetVerify()) == 0 {
		return fmt.Sprintf("nothing is measured after fitting; close the job: gaugectl job close %d", j.GetId())
	}
	return fmt.Sprintf("discard the wrong reading and measure again: gaugectl job discard %d --reading NUMBER --reason WHY", j.GetId())
}

func renderJobHead(w io.Writer, j *pb.Job) {
	fmt.Fprintln(w, "\nJob")
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  number\t%d, stage %s\n", j.GetId(), show.StageText(j.GetStage()))
		fmt.Fprintf(tab, "  unit\t%s\n", j.GetUnitSerial())
		if earlier := earlierText(j); earlier != "" {
			fmt.Fprintf(tab, "  said before\t%s\n", earlier)
		}
		renderLabels(tab, j)
		if j.GetAside() != nil {
			fmt.Fprintf(tab, "  set aside\t%s\n", asideText(j.GetAside()))
		}
		fmt.Fprintf(tab, "  technician\t%s\n", show.OrDash(j.GetBy()))
		fmt.Fprintf(tab, "  procedure\t%s\n", show.ProcedureText(j.GetProcedure()))
		fmt.Fprintf(tab, "  started\t%s\n", show.TimeText(j.GetStartTime()))
		if chosen := chosenText(j); chosen != "" {
			fmt.Fprintf(tab, "  chosen part\t%s\n", chosen)
		}
		for _, r := range j.GetEarlierRounds() {
			fmt.Fprintf(tab, "  round %d\t%s\n", r.GetNumber(), roundText(r))
		}
		if j.GetRound() > 1 {
			fmt.Fprintf(tab, "  round %d\tthis one\n", j.GetRound())
		}
		if j.GetCloseTime() != nil {
			fmt.Fprintf(tab, "  closed\t%s\n", show.TimeText(j.GetCloseTime()))
		}
		if j.GetCloseReason() != "" {
			fmt.Fprintf(tab, "  %s\t%s\n", closedHow(j), j.GetCloseReason())
		}
	})
}

// closedHow is what stands before the reason of a closing: a verdict that stands is none
// that is missing.
func closedHow(j *pb.Job) string {
	if wire.Unfinished(j) {
		return "closed unfinished"
	}
	return "reason"
}

// roundText says what was in and how its proof ended.
func roundText(r *pb.Round) string {
	var texts []string
	for _, f := range r.GetFitted() {
		texts = append(texts, show.Only(f.GetPlace() != "", f.GetPlace()+": ")+show.FittedText(f))
	}
	for _, g := range r.GetResults() {
		text := g.GetName() + " " + cmp.Or(g.GetMark(), show.BetweenText(g.GetValue(), g.GetBetween()))
		if g.GetAllowed() != nil {
			text += ", allowed " + show.RangeText(g.GetAllowed())
		}
		texts = append(texts, text)
	}
	return strings.Join(append(texts, show.OutcomeText(r.GetOutcome())), "; ")
}

func renderJobs(w io.Writer, jobs []*pb.Job) {
	if len(jobs) == 0 {
		fmt.Fprintln(w, show.Say("jobs.nothing"))
		return
	}
	show.Columns(w, func(tab io.Writer) {
		labels := slices.ContainsFunc(jobs, func(j *pb.Job) bool { return len(j.GetLabels()) > 0 })
		fmt.Fprintln(tab, "JOB\tUNIT\tPROCEDURE\tSTAGE\tOUTCOME\tSTARTED\tTECHNICIAN"+show.Only(labels, "\tLABELS"))
		for _, j := range jobs {
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\t%s\t%s%s\n", j.GetId(), show.Cut(j.GetUnitSerial()), show.Cut(j.GetProcedure().GetId()), show.StageText(j.GetStage()),
				show.JobVerdictText(j), show.TimeText(j.GetStartTime()), show.Cut(show.OrDash(j.GetBy())), show.Only(labels, "\t"+show.Cut(labelsOr(j, "-"))))
		}
	})
}
