package job

import (
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Over reports whether nothing is left to be measured.
func (j *Job) Over() bool {
	return !j.Closed.IsZero() || j.Stage == StageDecided || j.Stage == StageVerify && len(j.Procedure.Verify) == 0
}

// Unproven reports that all is done in a job whose procedure has no proof.
func (j *Job) Unproven() bool { return j.Stage == StageVerify && len(j.Procedure.Verify) == 0 }

// Verdict is how a job stands: the outcome of its evaluation, that it is set aside, that it ends without a
// proof, or why it was closed before it had a verdict.
func (j *Job) Verdict() gauge.Message {
	if a := j.Aside; a != nil {
		args := []gauge.Arg{gauge.WordOf("verdict", "outcome", j.Evaluation.Outcome), gauge.Text("reason", a.Reason)}
		if a.For != "" {
			args = append(args, gauge.Text("for", a.For))
		}
		return gauge.Say("stands.aside", args...)
	}
	o := j.Evaluation.Outcome
	switch {
	case j.Unfinished():
		return gauge.Say("stands.unfinished", gauge.Text("reason", j.CloseReason))
	case o == evaluate.VerifyFit && len(j.Procedure.Verify) == 0 && !j.Closed.IsZero():
		return gauge.Say("stands.closed-unproven")
	case o == evaluate.VerifyFit && len(j.Procedure.Verify) == 0:
		return gauge.Say("stands.unproven")
	}
	return gauge.Say("outcome." + gauge.Key(string(o)))
}

// Unfinished reports whether the job was closed before it had a verdict.
func (j *Job) Unfinished() bool {
	return j.CloseReason != "" && slices.Contains(open, j.Evaluation.Outcome)
}

// open are the outcomes after which a job has no verdict yet.
var open = []evaluate.Outcome{evaluate.Measuring, evaluate.MeasureAgain, evaluate.FitPart, evaluate.VerifyFit, evaluate.NothingFits}

// EndsWell reports whether a job can be closed without a word about why: its verdict
// is good, or its procedure has no proof and all is done.
func (j *Job) EndsWell() bool {
	if j.Stage == StageDecided {
		return slices.Contains(good, j.Evaluation.Outcome)
	}
	return j.Unproven()
}

// MayClose says why the job cannot be closed yet, with or without a reason for it and
// a signature.
func (j *Job) MayClose(reasoned, signed bool) error {
	switch {
	case j.EndsWell():
		return nil
	case !reasoned && j.Evaluation.Outcome == evaluate.Undecided:
		return gauge.WrongInput("refusal.job.undecided", gauge.Count("job", j.ID))
	case !reasoned && j.Stage == StageDecided:
		return gauge.WrongInput("refusal.job.close-why", gauge.Count("job", j.ID), gauge.WordOf("outcome", "outcome", j.Evaluation.Outcome))
	case !reasoned:
		return gauge.WrongInput("refusal.job.unfinished", gauge.Count("job", j.ID), j.Missing())
	case j.Evaluation.Outcome == evaluate.DoesNotConform && j.Stage == StageDecided && !signed:
		return gauge.Refused("refusal.job.close-unsigned", gauge.Count("job", j.ID))
	}
	return nil
}

// good are the verdicts with which a unit leaves the bench.
var good = []evaluate.Outcome{evaluate.Conforms, evaluate.Calculated, evaluate.Advised}

// Missing says what a job waits for, as the argument "next" of a message.
func (j *Job) Missing() gauge.Arg {
	next := gauge.Say("because.next.fit")
	switch {
	case j.Stage == StageAside:
		next = gauge.Say("because.next.take-up")
	case j.Measuring != "":
		next = gauge.Say("because.next.measure", gauge.Text("measurement", j.Titled(j.Measuring)))
	case j.Unproven():
		next = gauge.Say("because.next.nothing-to-sign")
	case j.Stage == StageMeasure || j.Stage == StageVerify:
		next = gauge.Say("because.next.measure-again")
	case j.Stage == StageChoose:
		next = gauge.Say("because.next.choose")
	}
	return gauge.Nested("next", next)
}

// MayDiscard reports whether a reading may still be discarded: of one from before
// fitting, once a part is in, no other could be taken instead.
func (j *Job) MayDiscard(r procedure.Reading) bool {
	_, verify, _ := j.Procedure.Step(r.Measurement)
	return r.Discarded == "" && (verify || len(j.Fitted) == 0)
}

// ReadingsOf are the numbers of the readings of a gauge that count in the job.
func (j *Job) ReadingsOf(id string) (seqs []uint64) {
	for _, r := range j.Taken {
		if r.Gauge == id && r.Discarded == "" {
			seqs = append(seqs, r.Seq)
		}
	}
	return seqs
}

// Measured lists the gauges of which readings count in the job, sorted.
func (j *Job) Measured() (ids []string) {
	for _, r := range j.Taken {
		if r.Gauge != "" && r.Discarded == "" {
			ids = append(ids, r.Gauge)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}
