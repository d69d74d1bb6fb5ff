package wire

import (
	"gauged/internal/evaluate"
	"gauged/internal/gauge"

	gaugedv1 "gauged/api/gauged/v1"
)

// Pair says that an own word and a word of the contract mean the same.
type Pair[Own, Contract comparable] struct {
	Own      Own
	Contract Contract
}

// Means says that two words mean the same.
func Means[Own, Contract comparable](own Own, contract Contract) Pair[Own, Contract] {
	return Pair[Own, Contract]{own, contract}
}

var units = []Pair[gauge.Unit, gaugedv1.Unit]{
	{gauge.UnitUnknown, gaugedv1.Unit_UNIT_UNSPECIFIED},
	{gauge.Millimetre, gaugedv1.Unit_UNIT_MILLIMETRE},
	{gauge.Inch, gaugedv1.Unit_UNIT_INCH},
	{gauge.Micrometre, gaugedv1.Unit_UNIT_MICROMETRE},
	{gauge.Newton, gaugedv1.Unit_UNIT_NEWTON},
	{gauge.PoundForce, gaugedv1.Unit_UNIT_POUND_FORCE},
	{gauge.KilogramForce, gaugedv1.Unit_UNIT_KILOGRAM_FORCE},
	{gauge.NewtonMetre, gaugedv1.Unit_UNIT_NEWTON_METRE},
	{gauge.NewtonCentimetre, gaugedv1.Unit_UNIT_NEWTON_CENTIMETRE},
	{gauge.PoundForceInch, gaugedv1.Unit_UNIT_POUND_FORCE_INCH},
	{gauge.PoundForceFoot, gaugedv1.Unit_UNIT_POUND_FORCE_FOOT},
	{gauge.KilogramForceCentimetre, gaugedv1.Unit_UNIT_KILOGRAM_FORCE_CENTIMETRE},
	{gauge.DegreeCelsius, gaugedv1.Unit_UNIT_DEGREE_CELSIUS},
	{gauge.Kelvin, gaugedv1.Unit_UNIT_KELVIN},
	{gauge.Degree, gaugedv1.Unit_UNIT_DEGREE},
	{gauge.One, gaugedv1.Unit_UNIT_ONE},
}

var statuses = []Pair[gauge.Status, gaugedv1.ReadingStatus]{
	{"", gaugedv1.ReadingStatus_READING_STATUS_UNSPECIFIED},
	{gauge.StatusOK, gaugedv1.ReadingStatus_READING_STATUS_OK},
	{gauge.StatusLowBattery, gaugedv1.ReadingStatus_READING_STATUS_LOW_BATTERY},
}

var states = []Pair[gauge.State, gaugedv1.GaugeState]{
	{"", gaugedv1.GaugeState_GAUGE_STATE_UNSPECIFIED},
	{gauge.StateAbsent, gaugedv1.GaugeState_GAUGE_STATE_ABSENT},
	{gauge.StateOpening, gaugedv1.GaugeState_GAUGE_STATE_OPENING},
	{gauge.StateLive, gaugedv1.GaugeState_GAUGE_STATE_LIVE},
	{gauge.StateSilent, gaugedv1.GaugeState_GAUGE_STATE_SILENT},
	{gauge.StateFailed, gaugedv1.GaugeState_GAUGE_STATE_FAILED},
}

var outcomes = []Pair[evaluate.Outcome, gaugedv1.Outcome]{
	{"", gaugedv1.Outcome_OUTCOME_UNSPECIFIED},
	{evaluate.Measuring, gaugedv1.Outcome_OUTCOME_MEASURING},
	{evaluate.MeasureAgain, gaugedv1.Outcome_OUTCOME_MEASURE_AGAIN},
	{evaluate.FitPart, gaugedv1.Outcome_OUTCOME_FIT_PART},
	{evaluate.NothingFits, gaugedv1.Outcome_OUTCOME_NOTHING_FITS},
	{evaluate.VerifyFit, gaugedv1.Outcome_OUTCOME_VERIFY},
	{evaluate.Conforms, gaugedv1.Outcome_OUTCOME_CONFORMS},
	{evaluate.DoesNotConform, gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM},
	{evaluate.Undecided, gaugedv1.Outcome_OUTCOME_UNDECIDED},
	{evaluate.Calculated, gaugedv1.Outcome_OUTCOME_CALCULATED},
	{evaluate.WrongPart, gaugedv1.Outcome_OUTCOME_WRONG_PART},
	{evaluate.TooMany, gaugedv1.Outcome_OUTCOME_TOO_MANY},
	{evaluate.Advised, gaugedv1.Outcome_OUTCOME_ADVISED},
}

// Contract returns the contract's word, its zero value when there is none.
func Contract[Own, Contract comparable](words []Pair[Own, Contract], own Own) Contract {
	for _, p := range words {
		if p.Own == own {
			return p.Contract
		}
	}
	var none Contract
	return none
}

// Own returns our word, and false when the contract's word is not known here.
func Own[Own, Contract comparable](words []Pair[Own, Contract], contract Contract) (Own, bool) {
	for _, p := range words {
		if p.Contract == contract {
			return p.Own, true
		}
	}
	var none Own
	return none, false
}

// Unit returns the unit of the contract.
func Unit(u gauge.Unit) gaugedv1.Unit { return Contract(units, u) }

// FromUnit returns our unit; a number that is not in the contract is the
// unknown unit, which readings are refused with.
func FromUnit(u gaugedv1.Unit) gauge.Unit {
	unit, _ := Own(units, u)
	return unit
}

// Status returns the status of the contract.
func Status(s gauge.Status) gaugedv1.ReadingStatus { return Contract(statuses, s) }

// FromStatus returns our status, and false for a number that is not in the contract.
func FromStatus(s gaugedv1.ReadingStatus) (gauge.Status, bool) { return Own(statuses, s) }

// State returns the state of the contract.
func State(s gauge.State) gaugedv1.GaugeState { return Contract(states, s) }

// Outcome returns the outcome of the contract.
func Outcome(o evaluate.Outcome) gaugedv1.Outcome { return Contract(outcomes, o) }

// FromOutcome is the reverse of Outcome; a word that is not known is empty.
func FromOutcome(o gaugedv1.Outcome) evaluate.Outcome {
	outcome, _ := Own(outcomes, o)
	return outcome
}

// jobChanges are the kinds of the facts of a job.
var jobChanges = []Pair[string, gaugedv1.JobChangeKind]{
	{"", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_UNSPECIFIED},
	{"started", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_STARTED},
	{"acknowledged", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_ACKNOWLEDGED},
	{"taken", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_TAKEN},
	{"discarded", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_DISCARDED},
	{"chosen", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_CHOSEN},
	{"fitted", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_FITTED},
	{"verdict", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_VERDICT},
	{"verified", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_VERIFIED},
	{"round", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_ROUND},
	{"closed", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_CLOSED},
	{"aside", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_ASIDE},
	{"resumed", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_RESUMED},
	{"serial", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_UNIT_SERIAL},
	{"labelled", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_LABELLED},
	{"gauges", gaugedv1.JobChangeKind_JOB_CHANGE_KIND_GAUGES},
}

// JobChangeKind returns the kind of a job's fact in the contract.
func JobChangeKind(kind string) gaugedv1.JobChangeKind { return Contract(jobChanges, kind) }
