package job

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/evaluate/rounds"
	"gauged/internal/gauge"
)

// KindRound is that the next round of a job begins. It says itself what that round
// stands on, so that a job folds without an evaluation between its facts.
const KindRound = "round"

// RoundData is what a round that is over leaves behind.
type RoundData struct {
	Round    int              `json:"round"`              // that is over, from 1
	Parts    []roundPart      `json:"parts,omitempty"`    // that are in
	Readings []uint64         `json:"readings,omitempty"` // of the proof, that count, by their numbers
	Outcome  evaluate.Outcome `json:"outcome"`
	Results  []roundResult    `json:"results,omitempty"` // of the proof
	Total    *gauge.Length    `json:"total,omitempty"`   // that was wanted of places that are chosen together
}

type roundPart struct {
	Place     string        `json:"place,omitempty"`
	Part      string        `json:"part"`
	Thickness *gauge.Length `json:"thickness,omitempty"`
	Measured  bool          `json:"measured,omitempty"`
}

type roundResult struct {
	Name    string            `json:"name"`
	Value   gauge.Length      `json:"value"`
	Between *procedure.Limits `json:"between,omitempty"`
	Mark    string            `json:"mark,omitempty"`
	Unit    gauge.Unit        `json:"unit"`
	Allowed procedure.Limits  `json:"allowed"`
	Outcome evaluate.Outcome  `json:"outcome"`
}

// Round is an earlier round of a job.
type Round struct {
	Number  int
	Fitted  []procedure.Fitted
	Results []evaluate.Judgement // of the proof: value, limits and how it ended
	Outcome evaluate.Outcome
	Ended   uint64 // number in the history of what began the next round
}

// Round is the number of the present round, from 1.
func (j *Job) Round() int { return len(j.Rounds) + 1 }

// NextRound is what the present round leaves for the next, or why none can begin.
func (j *Job) NextRound() (RoundData, error) {
	if err := j.GoesOn(); err != nil {
		return RoundData{}, err
	}
	data := j.leaves()
	after := *j
	if err := after.beginRound(data, 0); err != nil {
		return data, gauge.Refused("refusal.round.finding", gauge.Because("why", err))
	}
	if err := after.evaluate(); err != nil {
		return data, err
	}
	if after.Evaluation.Outcome == evaluate.MeasureAgain && len(after.Evaluation.Findings) > 0 {
		return data, gauge.Refused("refusal.round.finding", gauge.Nested("why", after.Evaluation.Findings[len(after.Evaluation.Findings)-1].Says))
	}
	return data, nil
}

// GoesOn says why no next round can begin now; nil when one can.
func (j *Job) GoesOn() error {
	in := gauge.Count("job", j.ID)
	switch o := j.Evaluation.Outcome; {
	case !j.Closed.IsZero():
		return gauge.Refused("refusal.job.closed", in)
	case j.AllFitted() && o == evaluate.MeasureAgain && len(j.Evaluation.Findings) > 0:
		return gauge.Refused("refusal.round.finding", gauge.Nested("why", j.Evaluation.Findings[0].Says))
	case !j.AllFitted() || j.Stage != StageDecided:
		return gauge.Refused("refusal.round.no-proof", in, j.Missing())
	case !o.Missed():
		return gauge.Refused("refusal.round.proof-is-right", in, gauge.WordOf("outcome", "outcome", o))
	case !j.Evaluation.Proved():
		return gauge.Refused("refusal.round.not-together", in, gauge.Nested("missed", j.Evaluation.Missed()))
	case j.Round() >= j.Procedure.Rounds.Most:
		return gauge.Refused("refusal.round.last", gauge.Count("round", j.Round()), in)
	}
	return j.first().GoesOn()
}

// Titled is what a measurement is called for people, also one of an earlier round.
func (j *Job) Titled(name string) string {
	step, _, ok := j.first().Step(name)
	if !ok {
		step, _, _ = j.Procedure.Step(name)
	}
	return cmp.Or(step.Title, name)
}

// first is the procedure of the first round.
func (j *Job) first() *procedure.Procedure {
	if j.firstProcedure != nil {
		return j.firstProcedure
	}
	return j.Procedure
}

// leaves is what the present round leaves for the next.
func (j *Job) leaves() RoundData {
	data := RoundData{Round: j.Round(), Outcome: j.Evaluation.Outcome}
	for _, f := range j.Evaluation.EachFit() {
		if f.Fitted != nil {
			data.Parts = append(data.Parts, roundPart{f.Place, f.Fitted.Part, f.Fitted.Thickness, f.Fitted.Measured})
		}
	}
	for _, r := range j.Counting() {
		if _, after, _ := j.Procedure.Step(r.Measurement); after && r.Discarded == "" {
			data.Readings = append(data.Readings, r.Seq)
		}
	}
	for _, g := range j.Evaluation.Judgements {
		if g.After {
			data.Results = append(data.Results, roundResult{g.Name, g.Value, g.Between, g.Mark, g.Unit, g.Allowed, g.Outcome})
		}
	}
	if t := j.Evaluation.Together; t != nil {
		data.Total = &t.Wanted
	}
	return data
}

// beginRound takes the job into the next round: its procedure, its readings and
// what is known of their gauges become those of that round. What is measured no
// more stays in the history.
func (j *Job) beginRound(data RoundData, seq uint64) error {
	r := rounds.Round{Number: data.Round, Total: data.Total}
	done := Round{Number: data.Round, Outcome: data.Outcome, Ended: seq}
	for _, p := range data.Parts {
		r.Fitted = append(r.Fitted, procedure.Fitted{Place: p.Place, Part: p.Part, Thickness: p.Thickness, Measured: p.Measured})
	}
	done.Fitted = r.Fitted
	for _, g := range data.Results {
		done.Results = append(done.Results, evaluate.Judgement{Name: g.Name, Value: g.Value, Between: g.Between, Mark: g.Mark, Unit: g.Unit, Allowed: g.Allowed, Outcome: g.Outcome, After: true})
	}
	for _, one := range j.Taken {
		if _, after, _ := j.Procedure.Step(one.Measurement); !after || slices.Contains(data.Readings, one.Seq) {
			r.Readings = append(r.Readings, one)
		}
	}
	first := j.first()
	next, readings, renamed, err := rounds.Next(first, r, j.Families)
	if err != nil {
		return fmt.Errorf("job %d: %w", j.ID, err)
	}
	for _, one := range j.Taken {
		if !slices.ContainsFunc(readings, func(r procedure.Reading) bool { return r.Seq == one.Seq }) {
			j.past = append(slices.Clip(j.past), one.Seq)
		}
	}
	j.firstProcedure, j.Procedure = first, next
	j.Taken = readings
	j.Gauges, j.Abilities = bound(j.Gauges, renamed), bound(j.Abilities, renamed)
	j.Rounds = append(slices.Clip(j.Rounds), done)
	j.Fitted, j.Chosen, j.Verified, j.verifyFrom = nil, nil, false, len(j.Taken)
	return nil
}

// bound says of measurements under further names what is known of them.
func bound[T any](of map[string]T, renamed map[string]string) map[string]T {
	next := maps.Clone(of)
	for old, name := range renamed {
		delete(next, name)
		if value, ok := of[old]; ok {
			next[name] = value
		}
	}
	return next
}
