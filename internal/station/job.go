package station

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
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
)

// Job is one unit on the bench. A Job never changes: each fact gives a new one.
type Job struct {
	ID          uint64
	UnitSerial  string
	Technician  string
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
	LastSeq      uint64
	// Notice says why the last reading of one of the job's gauges was not
	// taken, or the last press of a switch did nothing. It is not a fact and not kept over a restart.
	Notice string
	// Warnings are what to know of the job's gauges: as of the start and the
	// closing, and as things stand now.
	Warnings []string

	Rounds []Round // the earlier ones

	firstProcedure *procedure.Procedure // that of the first round; nil in it
	past           []uint64             // readings of earlier rounds that do not count in this one

	told      []string                 // the warnings of its facts
	abilities map[string]gauge.Ability // what is known of the gauge of each measurement, as of the start
	taken     []procedure.Reading
	fitted    []procedure.Fitted // at most one for each place
	// Readings of verification that were taken before this many readings
	// belong to an earlier fitting.
	verifyFrom int
	evaluated  []byte    // JSON of Evaluation
	spoke      time.Time // when the last verdict was given
}

// versions finds the procedure and the family of a job by their hashes.
type versions interface {
	procedure(hash string) (*procedure.Procedure, error)
	family(hash string) (*procedure.Family, error)
}

// taken is the reading that a taken fact names, and the one that it is
// measured from where the value is a way between two.
type taken struct{ reading, from *gauge.Reading }

// with returns the job after a fact; t is what a taken fact names. The receiver
// is nil for the first fact.
func (j *Job) with(f gauge.Fact, t taken, v versions) (*Job, error) {
	next, err := j.folded(f, t, v)
	if err != nil {
		return nil, err
	}
	return next, next.evaluate()
}

// folded returns the job after a fact, not yet evaluated.
func (j *Job) folded(f gauge.Fact, t taken, v versions) (*Job, error) {
	if f.Job.Kind == kindStarted {
		return started(f, v)
	}
	if j == nil {
		return nil, fmt.Errorf("job %d does not begin with a start", f.Job.Job)
	}
	next := *j
	next.LastSeq, next.Notice = f.Seq, ""
	return &next, next.take(f.Job, t)
}

func started(f gauge.Fact, v versions) (*Job, error) {
	data, err := unmarshal[startedData](f.Job)
	if err != nil {
		return nil, err
	}
	j := &Job{
		ID: f.Job.Job, UnitSerial: data.UnitSerial, Technician: f.Job.By, Gauges: data.Gauges, Typed: data.Typed,
		Started: f.Job.Time, LastSeq: f.Seq, Warnings: data.Warnings, told: data.Warnings, abilities: data.Abilities,
	}
	if j.Procedure, err = v.procedure(data.ProcedureHash); err != nil {
		return nil, fmt.Errorf("job %d: %w", j.ID, err)
	}
	j.Families = procedure.Families{}
	for _, hash := range data.parts() {
		f, err := v.family(hash)
		if err != nil {
			return nil, fmt.Errorf("job %d: %w", j.ID, err)
		}
		j.Families[f.ID] = f
	}
	return j, nil
}

// take changes the fields that a fact other than the start speaks of.
func (j *Job) take(f *gauge.JobFact, t taken) error {
	switch f.Kind {
	case kindTaken:
		data, err := unmarshal[takenData](f)
		if err != nil {
			return err
		}
		j.takeReading(data, t)
		j.Verified = false // what was signed is the verdict without this reading
	case kindDiscarded:
		data, err := unmarshal[discardedData](f)
		if err != nil {
			return err
		}
		j.taken = slices.Clone(j.taken)
		for i := range j.taken {
			if j.taken[i].Seq == data.Reading {
				j.taken[i].Discarded = data.Reason
			}
		}
		j.Verified = false
	case kindChosen:
		data, err := unmarshal[chosenData](f)
		if err != nil {
			return err
		}
		j.choose(data.Place, data.Part)
	case kindFitted:
		data, err := unmarshal[fittedData](f)
		if err != nil {
			return err
		}
		j.fitted = slices.DeleteFunc(slices.Clone(j.fitted), func(f procedure.Fitted) bool { return f.Place == data.Place })
		j.fitted = append(j.fitted, procedure.Fitted{Place: data.Place, Part: data.Part, Thickness: data.Thickness})
		j.choose(data.Place, data.Part)
		j.Verified, j.verifyFrom = false, len(j.taken)
	case kindRound:
		data, err := unmarshal[roundData](f)
		if err != nil {
			return err
		}
		return j.beginRound(data, j.LastSeq)
	case kindAcknowledged:
		j.Acknowledged = f.By
	case kindVerified:
		j.Verified = true
	case kindClosed:
		data, err := unmarshal[closedData](f)
		if err != nil {
			return err
		}
		j.Closed, j.CloseReason = f.Time, data.Reason
		j.told = append(slices.Clip(j.told), data.Warnings...)
		j.Warnings = j.told
	}
	return nil
}

func (j *Job) takeReading(data takenData, t taken) {
	r := j.Procedure.Stored(data.Measurement, data.Reading, t.reading)
	if t.from != nil {
		r = way(r, data.From, t.from)
	}
	j.taken = append(slices.Clip(j.taken), r)
}

// evaluate brings the evaluation and the stage up to the facts.
func (j *Job) evaluate() error {
	e, err := j.comesTo(j.counting())
	if err != nil {
		return err
	}
	j.Evaluation, j.evaluated = e, marshal(e)
	j.Stage = j.stage()
	j.Measuring = j.due()
	return nil
}

// comesTo is what follows when these readings count.
func (j *Job) comesTo(readings []procedure.Reading) (evaluate.Evaluation, error) {
	e, err := evaluate.Evaluate(j.Procedure, j.Families, j.input(readings))
	if err != nil {
		return e, fmt.Errorf("job %d: %w", j.ID, err)
	}
	return e, nil
}

func (j *Job) input(readings []procedure.Reading) compute.Input {
	return compute.Input{Readings: readings, Fitted: j.fitted, Gauges: j.abilities, Bound: j.Gauges}
}

// Known is what is known of the gauges that make each result, as of the start.
func (j *Job) Known() ([]evaluate.Known, error) {
	return evaluate.KnownOf(j.Procedure, j.Families, j.input(j.counting()))
}

// counting leaves out the verification of an earlier fitting.
func (j *Job) counting() []procedure.Reading {
	readings := make([]procedure.Reading, 0, len(j.taken))
	for i, r := range j.taken {
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
	case o.Decided():
		return StageDecided
	case j.allFitted() && (o == evaluate.VerifyFit || o == evaluate.MeasureAgain && j.measured()):
		return StageVerify
	case o == evaluate.Measuring || o == evaluate.MeasureAgain:
		return StageMeasure
	case len(j.unsettled()) > 0:
		return StageChoose
	default:
		return StageFit
	}
}

// measured reports whether the measurements before fitting are complete and
// lead to a part.
func (j *Job) measured() bool {
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

// unsettled names the places for which no part is settled and can be.
func (j *Job) unsettled() []string {
	return j.ready(j.lacking(func(place string) bool { return j.Chosen[place] != "" }))
}

// ready leaves out the places that wait for what is fitted at another.
func (j *Job) ready(places []string) []string {
	return slices.DeleteFunc(places, func(place string) bool { return j.fit(place).Waits != "" })
}

// unfittedNow names the places at which no part is fitted and one can be.
func (j *Job) unfittedNow() []string { return j.ready(j.unfitted()) }

// unfitted names the places at which no part is fitted.
func (j *Job) unfitted() []string {
	return j.lacking(func(place string) bool {
		return slices.ContainsFunc(j.fitted, func(f procedure.Fitted) bool { return f.Place == place })
	})
}

func (j *Job) lacking(has func(place string) bool) []string {
	var places []string
	for _, p := range j.Procedure.EachPlace() {
		if !has(p.Name) && !j.fit(p.Name).Kept {
			places = append(places, p.Name)
		}
	}
	return places
}

// allFitted reports whether every place has its part.
func (j *Job) allFitted() bool { return len(j.fitted) > 0 && len(j.unfitted()) == 0 }

// fit is what follows for a place.
func (j *Job) fit(place string) *evaluate.Fit {
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
		if m, applies := j.measurement(s.Name); applies && !m.Complete {
			return s.Name
		}
	}
	return ""
}

// measurement returns the state of a step, and false when the step is not
// measured in the present case.
func (j *Job) measurement(name string) (evaluate.Measurement, bool) {
	for _, m := range j.Evaluation.Measurements {
		if m.Name == name {
			return m, true
		}
	}
	return evaluate.Measurement{}, false
}

// hasTaken reports whether a reading belongs to the job already.
func (j *Job) hasTaken(seq uint64) bool {
	return seq != 0 && (slices.Contains(j.past, seq) || slices.ContainsFunc(j.taken, func(r procedure.Reading) bool { return r.Seq == seq }))
}

// hasNow reports whether a reading counts in this round, or was discarded in it.
func (j *Job) hasNow(seq uint64) bool {
	return slices.ContainsFunc(j.counting(), func(r procedure.Reading) bool { return r.Seq == seq })
}

// uses reports whether any measurement of the job is bound to the gauge.
func (j *Job) uses(gaugeID string) bool {
	for _, g := range j.Gauges {
		if g == gaugeID {
			return true
		}
	}
	return false
}

// speaks reports whether the job's evaluation is a verdict that before, which
// may be nil, did not give: something other than that readings are missing.
func (j *Job) speaks(before *Job) bool {
	if j.Evaluation.Outcome == evaluate.Measuring {
		return false
	}
	return before == nil || !bytes.Equal(j.evaluated, before.evaluated)
}
