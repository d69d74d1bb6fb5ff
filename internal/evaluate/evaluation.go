package evaluate

import (
	"gauged/internal/gauge"
	"gauged/internal/statistics"
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
)

// Outcomes lists every outcome, for metrics and for tests.
var Outcomes = []Outcome{Measuring, MeasureAgain, FitPart, NothingFits, VerifyFit, Conforms, DoesNotConform}

// SimpleAcceptance is the decision rule in words.
const SimpleAcceptance = "simple acceptance: a value at a limit is inside; nothing is taken off the limits for the uncertainty of measurement"

// Reading is a reading as the evaluator needs it.
type Reading struct {
	Seq         uint64       `json:"seq,omitempty"` // number in the history; 0 when not stored
	Gauge       string       `json:"gauge,omitempty"`
	Measurement string       `json:"-"`
	Value       gauge.Length `json:"value"`
	Shown       string       `json:"shown"`
	Unit        gauge.Unit   `json:"unit"`
	Discarded   string       `json:"discarded,omitempty"` // why it does not count
}

// Fitted is the part that was fitted.
type Fitted struct {
	Part      string        `json:"part"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // measured, else nominal
	Measured  bool          `json:"measured,omitempty"`
}

// Input is what has been found out so far.
type Input struct {
	Readings []Reading // of all measurements, in the order in which they were taken
	Fitted   *Fitted   // nil before fitting; Thickness is set only when it was measured
}

// Measurement is the state of one step.
type Measurement struct {
	Name     string        `json:"name"`
	Readings []Reading     `json:"readings,omitempty"`
	Repeats  int           `json:"repeats"`
	Value    *gauge.Length `json:"value,omitempty"`
	Spread   *gauge.Length `json:"spread,omitempty"` // largest less smallest
	Agree    *gauge.Length `json:"agree,omitempty"`
	Complete bool          `json:"complete"` // enough readings, and they agree
	After    bool          `json:"after_fitting,omitempty"`
}

// Sum is one line of arithmetic as one would do it on paper.
type Sum struct {
	Name       string       `json:"name"`
	Expression string       `json:"expression"`
	Worked     string       `json:"worked"`
	Value      gauge.Length `json:"value"`
}

// Candidate is a grade with what it would give.
type Candidate struct {
	Grade
	Play       *gauge.Length `json:"play,omitempty"` // from the nominal thickness; negative is a preload
	Fits       bool          `json:"fits"`
	PassedOver string        `json:"passed_over,omitempty"` // why it is not taken although it fits
}

// Finding is something that a person should know.
type Finding struct {
	Code FindingCode `json:"code"`
	Text string      `json:"text"`
}

// FindingCode is a short fixed word for programs.
type FindingCode string

// The findings.
const (
	FindingImplausible FindingCode = "implausible"       // a reading outside what the step can give
	FindingDisagree    FindingCode = "disagree"          // repeats differ too much
	FindingImpossible  FindingCode = "impossible"        // no part has zero or negative thickness
	FindingOutOfStock  FindingCode = "out_of_stock"      // a better or fitting grade cannot be had
	FindingNothingFits FindingCode = "nothing_fits"      // no grade ends inside the limits
	FindingOtherPart   FindingCode = "other_part"        // not the recommended part was fitted
	FindingUnknownPart FindingCode = "unknown_part"      // the fitted part is not in the family
	FindingThickness   FindingCode = "thickness"         // the measured thickness is not what the grade should have
	FindingPrediction  FindingCode = "predicted_outside" // the fitted part is predicted to end outside the limits
	FindingUnpredicted FindingCode = "not_as_predicted"  // measured and predicted play differ too much
	FindingUnrecorded  FindingCode = "no_part_recorded"  // the result was measured, but not what was fitted
	FindingOutOfBounds FindingCode = "outside_limits"    // the result is outside the limits
)

// Verification compares the fitted unit with the limits and with the prediction.
type Verification struct {
	Measured   gauge.Length  `json:"measured"`
	Predicted  *gauge.Length `json:"predicted,omitempty"`
	Difference *gauge.Length `json:"difference,omitempty"` // measured less predicted
	Agrees     *bool         `json:"agrees,omitempty"`
}

// Evaluation is everything that follows from the readings. Its JSON form is
// what the history keeps: equal facts give equal bytes.
type Evaluation struct {
	Outcome       Outcome       `json:"outcome"`
	Measurements  []Measurement `json:"measurements"`
	Sums          []Sum         `json:"sums,omitempty"`
	Gap           *gauge.Length `json:"gap,omitempty"`
	Allowed       Limits        `json:"allowed"`
	Window        *Limits       `json:"window,omitempty"` // of thickness
	Aim           *gauge.Length `json:"aim,omitempty"`    // thickness aimed at
	Candidates    []Candidate   `json:"candidates,omitempty"`
	Choice        *Candidate    `json:"choice,omitempty"`
	Thinner       *Candidate    `json:"thinner,omitempty"` // next to the choice, or nearest below the window
	Thicker       *Candidate    `json:"thicker,omitempty"`
	Pack          *Pack         `json:"pack,omitempty"` // the recommended pack, where pieces may be stacked
	PackThinner   *Pack         `json:"pack_thinner,omitempty"`
	PackThicker   *Pack         `json:"pack_thicker,omitempty"`
	Why           string        `json:"why,omitempty"`
	Findings      []Finding     `json:"findings,omitempty"`
	Fitted        *Fitted       `json:"fitted,omitempty"`
	Verification  *Verification `json:"verification,omitempty"`
	DecisionRule  string        `json:"decision_rule"`
	ProcedureID   string        `json:"procedure"`
	ProcedureHash string        `json:"procedure_hash"`
	PartsHash     string        `json:"parts_hash,omitempty"`
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
	_, sd := statistics.MeanStdDev(x)
	return sd / 1e12, true
}
