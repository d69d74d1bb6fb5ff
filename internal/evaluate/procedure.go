package evaluate

import (
	"fmt"

	"gauged/internal/gauge"
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
	Decimals int    // decimals of Unit in which results are shown
	Hash     string // SHA-256 of the file
	Cautions []string

	ConvertUnits bool // take readings in another unit, converted exactly, instead of refusing them

	Measure   []Step // before a part is chosen
	Constants []Constant
	Values    []Named // intermediate results, each from what stands before it
	Gap       *Expression

	Allowed Limits // of the play after fitting, or of the gap itself when nothing is fitted
	Word    Word   // how the closing dimension is called

	Parts  string // id of the part family to choose from; empty when there is none
	ToSize bool   // the part is made to size instead
	Choose Choose

	Verify          []Step // after fitting
	VerifyPlay      *Expression
	PredictedWithin *gauge.Length // greatest believable difference between predicted and measured play
}

// Step is one quantity to measure.
type Step struct {
	Name       string
	Title      string
	How        string
	Instrument string
	Repeats    int           // fewest readings
	Agree      *gauge.Length // greatest allowed largest less smallest reading
	Take       Take
	Plausible  Limits
}

// Constant is a length that is known beforehand, such as a gasket or a test shim.
type Constant struct {
	Name  string
	Title string
	Value gauge.Length
}

// Named is an intermediate result.
type Named struct {
	Name       string
	Expression *Expression
}

// Limits is a closed interval; a nil end is not limited.
type Limits struct {
	Min *gauge.Length `json:"min,omitempty"`
	Max *gauge.Length `json:"max,omitempty"`
}

// Contains reports whether l is inside or at an end.
func (r Limits) Contains(l gauge.Length) bool {
	return (r.Min == nil || l >= *r.Min) && (r.Max == nil || l <= *r.Max)
}

// Limited reports whether there is at least one end.
func (r Limits) Limited() bool { return r.Min != nil || r.Max != nil }

// Word is how a procedure calls its closing dimension.
type Word string

// The words for a closing dimension.
const (
	WordPlay    Word = "play"
	WordPreload Word = "preload" // a negative play
	WordResult  Word = "result"  // nothing is fitted; the gap itself is judged
)

// Take says which statistic of the readings enters the chain.
type Take string

// The statistics of a measurement.
const (
	TakeMean     Take = "mean"
	TakeMedian   Take = "median"
	TakeSmallest Take = "smallest"
	TakeLargest  Take = "largest"
	TakeRange    Take = "range" // largest less smallest, as for a total indicator reading
)

// Choose is how one of several parts that fit is preferred.
type Choose struct {
	Aim        Aim
	AimPlay    gauge.Length // for AimPlay
	TieThicker bool         // of two equally near the aim take the thicker one, else the thinner
	Border     Border
	Pack       *PackRule // several pieces instead of one; nil: one
}

// Aim is what a procedure wants within its limits.
type Aim string

// The aims.
const (
	AimMiddle   Aim = "middle"
	AimPlay     Aim = "play" // a stated play or preload
	AimThickest Aim = "thickest"
	AimThinnest Aim = "thinnest"
	AimTable    Aim = "table" // the grade whose row of the table serves the gap
)

// Border says whether a part exactly at a limit fits.
type Border string

// The border rules.
const (
	BorderInside  Border = "inside"
	BorderOutside Border = "outside"
)

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

// ChoosesPart reports whether the procedure ends in a part, from a family or made to size.
func (p *Procedure) ChoosesPart() bool { return p.Parts != "" || p.ToSize }

// Suits reports why the procedure cannot choose from the family: a choice by
// table needs rows that say which gaps they serve, any other needs thicknesses.
// path names the procedure's file.
func (p *Procedure) Suits(f *Family, path string) error {
	for _, g := range f.Grades {
		if p.Choose.Aim == AimTable && !g.Serves.Limited() {
			return fmt.Errorf("%s:1:1: procedure %s chooses by table, but %s of family %s does not say which gaps it serves", path, p.ID, g.Part, f.ID)
		}
		if p.Choose.Aim != AimTable && g.Thickness == nil {
			return fmt.Errorf("%s:1:1: procedure %s chooses by thickness, but %s of family %s has none", path, p.ID, g.Part, f.ID)
		}
	}
	return nil
}
