package job

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Stage is what the bench does next in a job.
type Stage string

// The stages of a job.
const (
	StageMeasure Stage = "measure"
	StageChoose  Stage = "choose"
	StageFit     Stage = "fit"
	StageVerify  Stage = "verify"
	StageDecided Stage = "decided" // a verdict stands
	StageClosed  Stage = "closed"
	StageAside   Stage = "aside" // it waits, and holds no gauge
)

// Job is one unit on the bench. A Job never changes: each fact gives a new one.
type Job struct {
	ID          uint64
	UnitSerial  string               // as it was put right
	Labels      Labels               // as they were put right
	Technician  string               // who has it now
	People      []string             // who started it, took it up, or signed or closed it, in that order
	Procedure   *procedure.Procedure // in the version of the start
	Families    procedure.Families   // that the procedure chooses from, in the version of the start
	Gauges      map[string]string    // gauge id by measurement; a measurement without one is typed in
	Typed       []string             // the gauges without a connection, as of the start
	Stage       Stage
	Measuring   string // the measurement that takes the next reading; empty when none does
	Evaluation  evaluate.Evaluation
	Chosen      map[string]string // part number by place; the one place has no name
	Started     time.Time
	Closed      time.Time
	CloseReason string
	Verified    bool
	// Acknowledged is who has read the cautions; empty: nobody yet.
	Acknowledged string
	Aside        *Aside // nil: it is on the bench
	// EarlierSerials are those that were said of the unit before, in their order.
	EarlierSerials []string
	LastSeq        uint64
	// Notice says why the last reading of one of the job's gauges was not
	// taken, or the last press of a switch did nothing. It is not a fact and not kept over a restart.
	Notice gauge.Message
	// Warnings are what to know of the job's gauges: as of the start and the
	// closing, and as things stand now.
	Warnings []gauge.Message

	Rounds []Round // the earlier ones

	Told      []gauge.Message          // the warnings of its facts
	Abilities map[string]gauge.Ability // what is known of the gauge of each measurement, as of the start
	Taken     []procedure.Reading      // all of this round, discarded ones too
	Fitted    []procedure.Fitted       // at most one for each place
	Evaluated []byte                   // JSON of Evaluation
	Spoke     time.Time                // when the last verdict was given

	turns          turns
	passed         map[string]bool      // gauges that have passed a check since the job began
	rules          int                  // by which it is evaluated
	newest         newest               // the reading that was taken last
	letGo          []string             // gauges that it is bound to and does not hold
	firstProcedure *procedure.Procedure // that of the first round; nil in it
	past           []uint64             // readings of earlier rounds that do not count in this one
	// Readings of verification that were taken before this many readings
	// belong to an earlier fitting.
	verifyFrom int
}

// Versions finds the procedure and the family of a job by their hashes.
type Versions interface {
	Procedure(hash string) (*procedure.Procedure, error)
	Family(hash string) (*procedure.Family, error)
}

// Taken is the reading that a taken fact names, and the one that it is
// measured from where the value is a way between two.
type Taken struct{ Reading, From *gauge.Reading }

// With returns the job after a fact; t is what a taken fact names. The receiver
// is nil for the first fact.
func (j *Job) With(f gauge.Fact, t Taken, v Versions) (*Job, error) {
	next, err := j.folded(f, t, v)
	if err != nil {
		return nil, err
	}
	return next, next.evaluate()
}

// folded returns the job after a fact, not yet evaluated.
func (j *Job) folded(f gauge.Fact, t Taken, v Versions) (*Job, error) {
	if f.Job.Kind == KindStarted {
		return started(f, v)
	}
	if j == nil {
		return nil, fmt.Errorf("job %d does not begin with a start", f.Job.Job)
	}
	next := *j
	next.LastSeq, next.Notice = f.Seq, gauge.Message{}
	next.had(f.Job)
	return &next, next.take(f.Job, t)
}

func started(f gauge.Fact, v Versions) (*Job, error) {
	data, err := Unmarshal[StartedData](f.Job)
	if err != nil {
		return nil, err
	}
	j := &Job{
		ID: f.Job.Job, UnitSerial: data.UnitSerial, Labels: data.Labels, Technician: f.Job.By, Gauges: data.Gauges, Typed: data.Typed,
		Started: f.Job.Time, LastSeq: f.Seq, Warnings: data.Warnings, Told: data.Warnings, Abilities: data.Abilities, rules: data.Rules,
	}
	j.had(f.Job)
	if j.Procedure, err = v.Procedure(data.ProcedureHash); err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	j.Families = procedure.Families{}
	for _, hash := range data.parts() {
		f, err := v.Family(hash)
		if err != nil {
			return nil, fmt.Errorf("job %d: %w", j.ID, err)
		}
		j.Families[f.ID] = f
	}
	return j, nil
}

// take changes the fields that a fact other than the start speaks of.
func (j *Job) take(f *gauge.JobFact, t Taken) error {
	j.turn(f.Kind)
	switch f.Kind {
	case KindTaken:
		data, err := Unmarshal[TakenData](f)
		if err != nil {
			return err
		}
		j.TakeReading(data, t)
		j.Verified = false // what was signed is the verdict without this reading
	case KindDiscarded:
		data, err := Unmarshal[DiscardedData](f)
		if err != nil {
			return err
		}
		j.Taken = slices.Clone(j.Taken)
		for i := range j.Taken {
			if j.Taken[i].Seq == data.Reading {
				j.Taken[i].Discarded = data.Reason
			}
		}
		j.Verified = false
	case KindChosen:
		data, err := Unmarshal[ChosenData](f)
		if err != nil {
			return err
		}
		j.choose(data.Place, data.Part)
	case KindFitted:
		data, err := Unmarshal[FittedData](f)
		if err != nil {
			return err
		}
		j.Fitted = slices.DeleteFunc(slices.Clone(j.Fitted), func(f procedure.Fitted) bool { return f.Place == data.Place })
		j.Fitted = append(j.Fitted, procedure.Fitted{Place: data.Place, Part: data.Part, Thickness: data.Thickness})
		j.choose(data.Place, data.Part)
		j.Verified, j.verifyFrom = false, len(j.Taken)
	case KindRound:
		data, err := Unmarshal[RoundData](f)
		if err != nil {
			return err
		}
		return j.beginRound(data, j.LastSeq)
	case KindAcknowledged:
		j.Acknowledged = f.By
	case KindVerified:
		j.Verified = true
	case KindClosed:
		data, err := Unmarshal[ClosedData](f)
		if err != nil {
			return err
		}
		j.Closed, j.CloseReason, j.Aside = f.Time, data.Reason, nil
		j.Told = append(slices.Clip(j.Told), data.Warnings...)
		j.Warnings = j.Told
	default:
		return j.waits(f)
	}
	return nil
}

// evaluate brings the evaluation and the stage up to the facts.
func (j *Job) evaluate() error {
	e, err := j.comesTo(j.Counting())
	if err != nil {
		return err
	}
	j.Evaluation, j.Evaluated = e, Marshal(e)
	j.Stage = j.stage()
	j.Measuring = j.due()
	return nil
}

// comesTo is what follows when these readings count.
func (j *Job) comesTo(readings []procedure.Reading) (evaluate.Evaluation, error) {
	e, err := evaluate.Evaluate(j.Procedure, j.Families, j.Input(readings))
	if err != nil {
		return e, fmt.Errorf("job %d: %w", j.ID, err)
	}
	return e, nil
}

// Input is what an evaluation with these readings is made from.
func (j *Job) Input(readings []procedure.Reading) compute.Input {
	return compute.Input{Readings: readings, Fitted: j.Fitted, Gauges: j.Abilities, Bound: j.Gauges, Earlier: j.rules < 1, AnyZero: j.rules < 2, OneTyped: j.rules < 3}
}

// Known is what is known of the gauges that make each result, as of the start.
func (j *Job) Known() ([]evaluate.Known, error) {
	return evaluate.KnownOf(j.Procedure, j.Families, j.Input(j.Counting()))
}

// Counting leaves out the verification of an earlier fitting.
func (j *Job) Counting() []procedure.Reading {
	readings := make([]procedure.Reading, 0, len(j.Taken))
	for i, r := range j.Taken {
		if _, verify, _ := j.Procedure.Step(r.Measurement); verify && i < j.verifyFrom {
			continue
		}
		readings = append(readings, r)
	}
	return readings
}

func (j *Job) stage() Stage {
	switch o := j.Evaluation.Outcome; {
	case !j.Closed.IsZero():
		return StageClosed
	case j.Aside != nil:
		return StageAside
	case o.Decided():
		return StageDecided
	case j.AllFitted() && (o == evaluate.VerifyFit || o == evaluate.MeasureAgain && j.IsMeasured()):
		return StageVerify
	case o == evaluate.Measuring || o == evaluate.MeasureAgain:
		return StageMeasure
	case len(j.Unsettled()) > 0:
		return StageChoose
	default:
		return StageFit
	}
}

// IsMeasured reports whether the measurements before fitting are complete and
// lead to a part.
func (j *Job) IsMeasured() bool {
	if j.incomplete(j.Procedure.Measure) != "" {
		return false
	}
	for _, f := range j.Evaluation.EachFit() {
		if f.Gap == nil && f.Aim == nil && f.Candidates == nil && f.Waits == "" {
			return false
		}
	}
	return true
}

// choose settles the part of a place; none takes back what was settled.
func (j *Job) choose(place, part string) {
	j.Chosen = maps.Clone(j.Chosen)
	if j.Chosen == nil {
		j.Chosen = map[string]string{}
	}
	if j.Chosen[place] = part; part == "" {
		delete(j.Chosen, place)
	}
}

// Unsettled names the places for which no part is settled and can be.
func (j *Job) Unsettled() []string {
	return j.ready(j.lacking(func(place string) bool { return j.Chosen[place] != "" }))
}

// ready leaves out the places that wait for what is fitted at another.
func (j *Job) ready(places []string) []string {
	return slices.DeleteFunc(places, func(place string) bool { return j.FitAt(place).Waits != "" })
}

// UnfittedNow names the places at which no part is fitted and one can be.
func (j *Job) UnfittedNow() []string { return j.ready(j.Unfitted()) }

// Unfitted names the places at which no part is fitted.
func (j *Job) Unfitted() []string {
	return j.lacking(func(place string) bool {
		return slices.ContainsFunc(j.Fitted, func(f procedure.Fitted) bool { return f.Place == place })
	})
}

func (j *Job) lacking(has func(place string) bool) []string {
	var places []string
	for _, p := range j.Procedure.EachPlace() {
		if !has(p.Name) && !j.FitAt(p.Name).Kept {
			places = append(places, p.Name)
		}
	}
	return places
}

// AllFitted reports whether every place has its part.
func (j *Job) AllFitted() bool { return len(j.Fitted) > 0 && len(j.Unfitted()) == 0 }

// FitAt is what follows for a place.
func (j *Job) FitAt(place string) *evaluate.Fit {
	for _, f := range j.Evaluation.EachFit() {
		if f.Place == place {
			return f
		}
	}
	return &evaluate.Fit{}
}

// due names the measurement that takes the next reading.
func (j *Job) due() string {
	switch j.Stage {
	case StageMeasure:
		return j.incomplete(j.Procedure.Measure)
	case StageVerify:
		return j.incomplete(j.Procedure.Verify)
	}
	return ""
}

func (j *Job) incomplete(steps []procedure.Step) string {
	for _, s := range steps {
		if m, applies := j.Measurement(s.Name); applies && !m.Complete {
			return s.Name
		}
	}
	return ""
}

// Measurement returns the state of a step, and false when the step is not
// measured in the present case.
func (j *Job) Measurement(name string) (evaluate.Measurement, bool) {
	for _, m := range j.Evaluation.Measurements {
		if m.Name == name {
			return m, true
		}
	}
	return evaluate.Measurement{}, false
}

// HasTaken reports whether a reading belongs to the job already.
func (j *Job) HasTaken(seq uint64) bool {
	return seq != 0 && (slices.Contains(j.past, seq) || slices.ContainsFunc(j.Taken, func(r procedure.Reading) bool { return r.Seq == seq }))
}

// hasNow reports whether a reading counts in this round, or was discarded in it.
func (j *Job) hasNow(seq uint64) bool {
	return slices.ContainsFunc(j.Counting(), func(r procedure.Reading) bool { return r.Seq == seq })
}

// Speaks reports whether the job's evaluation is news beside that of before, which
// may be nil: a verdict that before did not have, or that the verdict of before is taken back.
func (j *Job) Speaks(before *Job) bool {
	if j.Evaluation.Outcome == evaluate.Measuring {
		return before != nil && before.Evaluation.Outcome != evaluate.Measuring
	}
	return before == nil || !bytes.Equal(j.Evaluated, before.Evaluated)
}

// way is the reading of how far a shaft moved from one reading to another.
func way(to procedure.Reading, fromSeq uint64, from *gauge.Reading) procedure.Reading {
	_, decimals, _ := strings.Cut(to.Shown, ".")
	to.From = fromSeq
	to.Value = (to.Value - from.Value).Abs()
	to.Shown = to.Value.Text(to.Unit, len(decimals))
	return to
}
