package procedure

import (
	"math/big"
	"slices"

	"gauged/internal/evaluate/drawing"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Procedure is one setting job as a shop describes it: what is measured, how
// the measurements combine, and which result is wanted. Signs live here and
// nowhere else.
type Procedure struct {
	ID       string
	Title    string
	Edition  string
	Source   string // where its numbers come from
	Unit     gauge.Unit
	Decimals int                       // decimals of Unit in which results are shown
	beside   func(gauge.Length) string // how values are written instead; see Beside
	Hash     string                    // SHA-256 of the file
	Cautions []string
	Drawing  *drawing.Drawing // nil: none

	ConvertUnits bool // take readings in another unit, converted exactly, instead of refusing them

	Measure   []Step // before a part is chosen
	Constants []Constant
	Tables    []*formula.Table // that formulas look up
	Values    []Named          // intermediate results, each from what stands before it
	Judge     []Judge          // results with limits of their own
	KeepWhen  *Judge           // nothing is fitted while this is inside its limits
	Place                      // the one place where a part goes; without a part its gap is judged
	Places    []Place          // several places instead of the one
	Together  *Together        // how the places are chosen together; nil: one after the other
	Verify    []Step           // after fitting
	Proof     []Judge          // results after fitting with limits of their own
	Proven    []Named          // intermediate results after fitting

	Instruments map[string]gauge.Ability // by the name that steps call them
	Temperature *Temperature             // nil: 20 degC, or not corrected
	Decide      Decide
	Coverage    uncertainty.Probability // level of confidence of expanded uncertainties

	VerifyPlay *formula.Expression
	Examples   []Example // printed ones, which must come out

	Rounds  Rounds
	ending  formula.Scope // what may follow from the proof
	Carried []Carried     // of the round before, where this is not the first

	PredictedWithin *gauge.Length // greatest believable difference between predicted and measured play

	Units map[string]gauge.Unit // in which each name is shown
}

// Place is where a part goes, and how it is chosen.
type Place struct {
	Name  string // empty for the one place of a procedure
	Title string

	Gap       *formula.Expression // what there is to fill; nil when Thickness says it at once
	NoGap     bool                // Gap is something else, by which a table is looked up
	Thickness *formula.Expression // what the part should be
	Within    *gauge.Length       // the part may differ from Thickness by this much; nil: not limited

	Allowed Bounds // of the play after fitting, or of the gap itself when nothing is fitted
	Word    Word   // how the closing dimension is called

	Parts  string // id of the part family to choose from; empty when there is none
	ToSize bool   // the part is made to size instead
	Choose Choose

	AddAfter *gauge.Length // what is added to the part when the proof conforms; nil: nothing
}

// Step is one quantity to measure.
type Step struct {
	Name       string
	Title      string
	Round      int // of whose proof it was measured, for a later round; 0: it is measured in this one
	How        string
	Drawing    *drawing.Drawing // nil: none
	Instrument string
	Unit       gauge.Unit    // of its readings, agreement and limits
	Repeats    int           // fewest readings
	Agree      *gauge.Length // greatest allowed largest less smallest reading
	Closes     *gauge.Length // the last reading must return to the first within this much
	Take       Take
	Drop       int         // readings dropped at each end by a truncated mean
	Outliers   OutlierTest // empty: none
	Plausible  Limits
	Codes      []Code        // the readings are marks out of these
	Unreadable *gauge.Length // what stands for a mark that cannot be read; nil: it must be readable
	When       []Case        // measured only in all of these cases; empty: always

	Moving    *Moving            // how readings are taken from an indicator that sends all the time; nil: as they are
	Reads     TemperatureReading // in degC or K; empty: not said
	Play      PlayState          // what the procedure says of play; empty: nothing
	LeastPlay *gauge.Length      // that must be felt, for PlayFelt; nil: what the gauge can show

	Angle      *Angle        // the reading is along a line at this angle
	Misaligned *Misalignment // nil: in line
	Material   *gauge.Expansion
}

// Code is a mark that a step may read, with the value that it stands for.
type Code struct {
	Mark  string
	Value *gauge.Length // in the step's unit; nil when it is only a mark
}

// Case is a mark that an earlier step must have read.
type Case struct {
	Step string
	Mark string
}

// Constant is a quantity that is known beforehand, such as a gasket, a test
// shim, a radius or an expansion coefficient.
type Constant struct {
	Name  string
	Title string
	Text  string       // as it is written, with its unit
	Value gauge.Length // in Unit
	Unit  gauge.Unit   // unknown for a compound unit
	Doubt Doubt

	of    formula.Dimension
	Exact *big.Rat // to compute with
}

// Named is an intermediate result. It has one formula, or one for each mark of
// a step.
type Named struct {
	Name     string
	Title    string
	Unit     gauge.Unit // in which it is shown
	Formulas []Formula

	Reads     TemperatureReading // in degC or K; empty: not said
	Play      PlayState          // what the procedure says of play, as of a measurement
	LeastPlay *gauge.Length      // that must be felt; nil: what the gauges can show
}

// Formula is an expression for one case, or for all.
type Formula struct {
	Case       Case // zero: always
	Expression *formula.Expression
}

// Judge is a result with limits of its own.
type Judge struct {
	Named
	Is        string // the mark that a step must read; empty when limits judge
	Limits    Bounds
	Otherwise string // what to do when it is outside
	Then      Consequence
	OfParts   bool // it needs the parts of the places, so it is judged when they are chosen
}

// Consequence is what follows when a result is outside its limits.
type Consequence string

// The consequences.
const (
	ThenReject Consequence = "does not conform"
	ThenAgain  Consequence = "measure again"
	ThenWrong  Consequence = "wrong part" // what must agree does not; no measuring helps
	ThenAdvise Consequence = "advise"     // only a finding
)

// Word is how a procedure calls its closing dimension.
type Word string

// The words for a closing dimension.
const (
	WordPlay    Word = "play"
	WordPreload Word = "preload" // a negative play
	WordResult  Word = "result"  // nothing is fitted; the gap itself is judged
)

// Called is a play as the word has it: a preload is written without its minus sign.
func (w Word) Called(play gauge.Length) gauge.Length {
	if w == WordPreload {
		return -play
	}
	return play
}

// CalledLimits is limits of a play as the word has it.
func (w Word) CalledLimits(l Limits) Limits {
	if w == WordPreload {
		return l.Negative()
	}
	return l
}

// CalledBetween is an interval of plays, or nil for none, as the word has it.
func (w Word) CalledBetween(b *Limits) *Limits {
	if b == nil {
		return nil
	}
	called := w.CalledLimits(*b)
	return &called
}

// Take says which statistic of the readings enters the chain.
type Take string

// The statistics of a measurement.
const (
	TakeMean      Take = "mean"
	TakeMedian    Take = "median"
	TakeSmallest  Take = "smallest"
	TakeLargest   Take = "largest"
	TakeRange     Take = "range"          // largest less smallest, as for a total indicator reading
	TakeTruncated Take = "truncated mean" // the mean without the ends
)

// OfExtremes reports whether a statistic is made of single readings.
func (t Take) OfExtremes() bool { return t == TakeRange || t == TakeSmallest || t == TakeLargest }

// Step returns the step of that name, before or after fitting.
func (p *Procedure) Step(name string) (step Step, verify, ok bool) {
	for _, s := range p.Measure {
		if s.Name == name {
			return s, false, true
		}
	}
	for _, s := range p.Verify {
		if s.Name == name {
			return s, true, true
		}
	}
	return Step{}, false, false
}

// EachPlace returns the places where parts go: several, or the one.
func (p *Procedure) EachPlace() []Place {
	switch {
	case len(p.Places) > 0:
		return p.Places
	case p.Place.ChoosesPart():
		return []Place{p.Place}
	}
	return nil
}

// PlaceNamed returns the place of that name.
func (p *Procedure) PlaceNamed(name string) (Place, bool) {
	for _, place := range p.EachPlace() {
		if place.Name == name {
			return place, true
		}
	}
	return Place{}, false
}

// ChoosesPart reports whether the procedure ends in a part, from a family or made to size.
func (p *Procedure) ChoosesPart() bool { return len(p.EachPlace()) > 0 }

// ChoosesPart reports whether the place takes a part, from a family or made to size.
func (p *Place) ChoosesPart() bool { return p.Parts != "" || p.ToSize }

// FamilyIDs are the part families that the procedure chooses from, each once, in
// the order of their places.
func (p *Procedure) FamilyIDs() []string {
	var ids []string
	for _, place := range p.EachPlace() {
		if place.Parts != "" && !slices.Contains(ids, place.Parts) {
			ids = append(ids, place.Parts)
		}
	}
	return ids
}
