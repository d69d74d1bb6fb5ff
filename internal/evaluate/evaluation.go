package evaluate

import (
	"encoding/json"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Outcome is where an evaluation stands.
type Outcome string

// The outcomes, in the order in which a job meets them.
const (
	Measuring      Outcome = "measuring"
	MeasureAgain   Outcome = "measure again"
	FitPart        Outcome = "fit part"
	NothingFits    Outcome = "nothing fits"
	VerifyFit      Outcome = "verify"
	Conforms       Outcome = "conforms"
	DoesNotConform Outcome = "does not conform"
	Undecided      Outcome = "undecided"       // a limit is within the uncertainty of the measurement
	Calculated     Outcome = "calculated"      // there are results, but no limits to judge them by
	WrongPart      Outcome = "wrong part"      // what must agree does not: no measuring helps
	TooMany        Outcome = "too many to try" // there are more combinations of parts than can be looked at
	Advised        Outcome = "advised"         // of one result alone: outside limits that only advise
)

// Outcomes lists every outcome, for metrics and for tests.
var Outcomes = []Outcome{Measuring, MeasureAgain, FitPart, NothingFits, VerifyFit, Conforms, DoesNotConform, Undecided, Calculated, WrongPart, TooMany, Advised}

// Measurement is the state of one step.
type Measurement struct {
	Name     string              `json:"name"`
	Readings []procedure.Reading `json:"readings,omitempty"`
	Repeats  int                 `json:"repeats"`
	Value    *gauge.Length       `json:"value,omitempty"`   // in Unit
	Between  *procedure.Limits   `json:"between,omitempty"` // where readings are intervals
	Mark     string              `json:"mark,omitempty"`    // where marks are read
	Spread   *gauge.Length       `json:"spread,omitempty"`  // largest less smallest
	Agree    *gauge.Length       `json:"agree,omitempty"`
	Unit     gauge.Unit          `json:"unit"`
	Complete bool                `json:"complete"` // enough readings, and they agree
	After    bool                `json:"after_fitting,omitempty"`
}

// Sum is one line of arithmetic as one would do it on paper.
type Sum struct {
	Name       string            `json:"name"`
	Expression string            `json:"expression"`
	Worked     string            `json:"worked"`
	Value      gauge.Length      `json:"value"` // in Unit
	Unit       gauge.Unit        `json:"unit"`
	Between    *procedure.Limits `json:"between,omitempty"` // where a reading is an interval
}

// Candidate is a grade with what it would give.
type Candidate struct {
	procedure.Grade
	Play        *gauge.Length     `json:"play,omitempty"` // from the nominal thickness; negative is a preload
	Between     *procedure.Limits `json:"between,omitempty"`
	Worst       *procedure.Limits `json:"worst,omitempty"` // of the play, wherever part and constants are within their stated tolerances
	Fits        bool              `json:"fits"`
	PassedOver  gauge.Message     `json:"passed_over,omitzero"`  // why it is not taken although it fits
	Probability *Probability      `json:"probability,omitempty"` // that it ends inside the limits
}

// Finding is something that a person should know.
type Finding struct {
	Code FindingCode   `json:"code"`
	Says gauge.Message `json:"says"`
}

// finding is a Finding as it is stored.
type finding struct {
	Code FindingCode   `json:"code"`
	Says gauge.Message `json:"says"`
	Text string        `json:"text,omitempty"` // of earlier versions
}

// MarshalJSON writes code and message.
func (f Finding) MarshalJSON() ([]byte, error) {
	return json.Marshal(finding{Code: f.Code, Says: f.Says})
}

// UnmarshalJSON reads what is stored, and the text that earlier versions stored.
func (f *Finding) UnmarshalJSON(content []byte) error {
	var stored finding
	if err := json.Unmarshal(content, &stored); err != nil {
		return err
	}
	*f = Finding{stored.Code, stored.Says}
	if stored.Text != "" {
		f.Says = gauge.Plain(stored.Text)
	}
	return nil
}

// Equal reports whether both say the same.
func (f Finding) Equal(o Finding) bool { return f.Code == o.Code && f.Says.Equal(o.Says) }

// FindingCode is a short fixed word for programs.
type FindingCode string

// The findings.
const (
	FindingImplausible FindingCode = "implausible"                 // a reading outside what the step can give
	FindingUnfelt      FindingCode = "play_not_felt"               // a play of nought, where the sum needs one
	FindingDisagree    FindingCode = "disagree"                    // repeats differ too much
	FindingNotClosed   FindingCode = "not_closed"                  // the last reading does not return to the first
	FindingOutlier     FindingCode = "outlier"                     // a reading stands apart from the others
	FindingScatter     FindingCode = "scatter_larger"              // repeats scatter more than is usual with the gauge
	FindingUnseated    FindingCode = "falling_first"               // the first reading looks like an unseated part
	FindingIdentical   FindingCode = "identical_repeats"           // repeats without any scatter
	FindingTwoZeros    FindingCode = "two_zeros"                   // a play from readings of several gauges, which have no common zero
	FindingUnreadable  FindingCode = "mark_unreadable"             // a stated value stands for a mark
	FindingImpossible  FindingCode = "impossible"                  // no part has zero or negative thickness
	FindingNoValue     FindingCode = "no_value"                    // a formula has no value for what was measured
	FindingOutOfStock  FindingCode = "out_of_stock"                // a better or fitting grade cannot be had
	FindingTaken       FindingCode = "taken_elsewhere"             // the last one goes to another place of the same job
	FindingTooMany     FindingCode = "too_many"                    // combinations of parts to try
	FindingNothingFits FindingCode = "nothing_fits"                // no grade ends inside the limits
	FindingNotInTable  FindingCode = "not_in_table"                // a table prints no value for what was measured
	FindingNearStep    FindingCode = FindingCode(doubt.NearStep)   // a table or a rounding may give another value
	FindingForbidden   FindingCode = "forbidden_pair"              // the table excludes these marks together
	FindingKept        FindingCode = "kept"                        // nothing needs to be fitted
	FindingAddNow      FindingCode = "add_now"                     // a fixed amount follows the proof
	FindingInterval    FindingCode = "interval"                    // a limit is inside what a feeler leaves open
	FindingUnlikely    FindingCode = "unlikely"                    // the part may well end outside the limits
	FindingSurely      FindingCode = "surely_outside"              // the part ends outside the limits in any case
	FindingLikelier    FindingCode = "likelier"                    // another grade would more probably end inside
	FindingWorst       FindingCode = "worst_case"                  // within the stated tolerances it may end outside the limits
	FindingTooNarrow   FindingCode = "window_too_narrow"           // the gauge cannot decide between these limits
	FindingUnstated    FindingCode = FindingCode(doubt.Unstated)   // a contribution is not known
	FindingTotal       FindingCode = "total_missed"                // places that are chosen together do not make their sum
	FindingStamped     FindingCode = "total_as_stamped"            // that sum counts measured parts as they are stamped
	FindingUncounted   FindingCode = FindingCode(doubt.Uncounted)  // the scatter of the readings is not in the uncertainty
	FindingMonteCarlo  FindingCode = FindingCode(doubt.MonteCarlo) // the second opinion counts
	FindingBySlopes    FindingCode = FindingCode(doubt.BySlopes)   // a formula bends, and was not drawn through
	FindingOtherPart   FindingCode = "other_part"                  // not the recommended part was fitted
	FindingUnknownPart FindingCode = "unknown_part"                // the fitted part is not in the family
	FindingThickness   FindingCode = "thickness"                   // the measured thickness is not what the grade should have
	FindingPrediction  FindingCode = "predicted_outside"           // the fitted part is predicted to end outside the limits
	FindingUnpredicted FindingCode = "not_as_predicted"            // measured and predicted play differ too much
	FindingUnrecorded  FindingCode = "no_part_recorded"            // the result was measured, but not what was fitted
	FindingOutOfBounds FindingCode = "outside_limits"              // the result is outside the limits
	FindingWrongPart   FindingCode = "wrong_part"                  // a part that does not belong here
	FindingUnjudged    FindingCode = "no_limit"                    // what limits follow from was not measured
	FindingNearLimit   FindingCode = "near_limit"                  // a limit is within the uncertainty of the measurement
)

// Verification compares the fitted unit with the limits and with the prediction.
type Verification struct {
	Measured         gauge.Length      `json:"measured"`
	Between          *procedure.Limits `json:"between,omitempty"`
	Predicted        *gauge.Length     `json:"predicted,omitempty"`
	PredictedBetween *procedure.Limits `json:"predicted_between,omitempty"` // where a reading of the gap is an interval
	Difference       *gauge.Length     `json:"difference,omitempty"`        // measured less predicted
	Uncertainty      *gauge.Length     `json:"uncertainty,omitempty"`       // expanded, of the difference
	Agrees           *bool             `json:"agrees,omitempty"`
}

// Judgement is a result beside its limits.
type Judgement struct {
	Name        string            `json:"name"`
	Title       string            `json:"title,omitempty"`
	Value       gauge.Length      `json:"value"` // in Unit
	Mark        string            `json:"mark,omitempty"`
	Wanted      string            `json:"wanted,omitempty"` // the mark that is wanted, where marks are read
	Unit        gauge.Unit        `json:"unit"`
	Between     *procedure.Limits `json:"between,omitempty"`
	Worst       *procedure.Limits `json:"worst,omitempty"` // wherever constants are within their stated tolerances
	Allowed     procedure.Limits  `json:"allowed"`
	Outcome     Outcome           `json:"outcome"` // conforms, does not conform, undecided, measure again, wrong part, advised
	Probability *Probability      `json:"probability,omitempty"`
	Rule        gauge.Message     `json:"rule,omitzero"`      // such as "guard band 95 %"; none for a mark
	Unstated    []string          `json:"unstated,omitempty"` // measurements whose gauge's error is not stated, so that the probability counts only what is stated
	After       bool              `json:"after_fitting,omitempty"`
}

// Word is how the result is called when it is the closing dimension; for any other it is
// WordResult.
func (j Judgement) Word() procedure.Word {
	if j.Name == string(procedure.WordPlay) || j.Name == string(procedure.WordPreload) {
		return procedure.Word(j.Name)
	}
	return procedure.WordResult
}

// Fit is what follows for one place where a part goes.
type Fit struct {
	Place       string            `json:"place,omitempty"`
	Title       string            `json:"title,omitempty"`
	Gap         *gauge.Length     `json:"gap,omitempty"`
	Between     *procedure.Limits `json:"gap_between,omitempty"` // where a reading is an interval
	Worst       *procedure.Limits `json:"gap_worst,omitempty"`   // wherever constants are within their stated tolerances
	Allowed     procedure.Limits  `json:"allowed"`
	Window      *procedure.Limits `json:"window,omitempty"` // of thickness
	Aim         *gauge.Length     `json:"aim,omitempty"`    // thickness aimed at
	Candidates  []Candidate       `json:"candidates,omitempty"`
	Choice      *Candidate        `json:"choice,omitempty"`
	Thinner     *Candidate        `json:"thinner,omitempty"` // next to the choice, or nearest below the window
	Thicker     *Candidate        `json:"thicker,omitempty"`
	Pack        *Pack             `json:"pack,omitempty"` // the recommended pack, where pieces may be stacked
	PackThinner *Pack             `json:"pack_thinner,omitempty"`
	PackThicker *Pack             `json:"pack_thicker,omitempty"`
	Waits       string            `json:"waits,omitempty"` // the place that must be fitted before this one is worked out
	Why         gauge.Message     `json:"why,omitzero"`
	Kept        bool              `json:"kept,omitempty"`       // the table accepts what was found: nothing is fitted
	Final       *Final            `json:"final,omitempty"`      // what is added after the proof
	Also        []string          `json:"also_right,omitempty"` // other grades that are right and can be had
	Fitted      *procedure.Fitted `json:"fitted,omitempty"`
	Predicted   *Prediction       `json:"predicted,omitempty"` // of Fitted; nil where its play is not known
	// Rule by which what the part leaves is held against its limits, as in a Judgement; none where there are no limits.
	Rule gauge.Message `json:"rule,omitzero"`
	// Unstated are the measurements whose gauge's error is not stated, so that the probabilities count only what is stated.
	Unstated []string `json:"unstated,omitempty"`
}

// Prediction is what the part will leave that was fitted, as a Candidate says it of a grade.
type Prediction struct {
	Play        gauge.Length      `json:"play"`
	Between     *procedure.Limits `json:"between,omitempty"`
	Worst       *procedure.Limits `json:"worst,omitempty"`
	Probability *Probability      `json:"probability,omitempty"`
}

// pieces are the parts that the recommendation takes out of the stock.
func (f *Fit) pieces() []procedure.Grade {
	switch {
	case f.Choice != nil:
		return []procedure.Grade{f.Choice.Grade}
	case f.Pack != nil:
		return f.Pack.Pieces
	}
	return nil
}

// Recommended names the part or the pack that is recommended; empty when there
// is none, or when the part is made to size.
func (f *Fit) Recommended() string {
	switch {
	case f.Choice != nil:
		return f.Choice.Part
	case f.Pack != nil:
		return f.Pack.Name()
	}
	return ""
}

// Recommends reports whether a part, or the pieces of a pack in whatever order, are
// what is recommended.
func (f *Fit) Recommends(part string) bool { return nameSamePieces(part, f.Recommended()) }

// Evaluation is everything that follows from the readings. Its JSON form is
// what the history keeps: equal facts give equal bytes.
type Evaluation struct {
	Outcome       Outcome        `json:"outcome"`
	Measurements  []Measurement  `json:"measurements"`
	Sums          []Sum          `json:"sums,omitempty"`
	Judgements    []Judgement    `json:"judgements,omitempty"`
	Fit                          // of the one place
	Fits          []Fit          `json:"fits,omitempty"`     // of several places
	Together      *Total         `json:"together,omitempty"` // what they make, where they are chosen together
	Budgets       []doubt.Budget `json:"budgets,omitempty"`
	Findings      []Finding      `json:"findings,omitempty"`
	Verification  *Verification  `json:"verification,omitempty"`
	DecisionRule  gauge.Message  `json:"decision_rule,omitzero"` // in full; what each result has beside it, where they differ
	ProcedureID   string         `json:"procedure"`
	ProcedureHash string         `json:"procedure_hash"`
	PartsHash     string         `json:"parts_hash,omitempty"`
	OtherParts    []string       `json:"other_parts,omitempty"` // hashes of further families, in the order of their places
}

// EachFit returns what follows for each place where a part goes.
func (e *Evaluation) EachFit() []*Fit {
	if len(e.Fits) == 0 {
		return []*Fit{&e.Fit}
	}
	fits := make([]*Fit, len(e.Fits))
	for i := range e.Fits {
		fits[i] = &e.Fits[i]
	}
	return fits
}

// StdDev returns the sample standard deviation (divisor n - 1) of the readings
// that count, in metres, and false below two readings. It is shown and never
// decides; readings are taken from the first one exactly before any float.
func (m Measurement) StdDev() (float64, bool) {
	var x []float64
	var first *gauge.Length
	for _, r := range m.Readings {
		if r.Discarded != "" {
			continue
		}
		if first == nil {
			first = &r.Value
		}
		x = append(x, float64(r.Value-*first))
	}
	if len(x) < 2 {
		return 0, false
	}
	_, sd := uncertainty.MeanStdDev(x)
	return sd / 1e12, true
}
