package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Choose is how one of several parts that fit is preferred.
type Choose struct {
	Aim          Aim
	AimPlay      gauge.Length        // for AimPlay
	AimOf        *formula.Expression // for AimPlay, where it depends on what is measured
	AimNegated   bool                // AimOf is a preload
	TieThicker   bool                // of two equally near the aim take the thicker one, else the thinner
	Border       Border
	Pack         *PackRule    // several pieces instead of one; nil: one
	None         bool         // no part at all is an answer too
	MeasuredWith string       // the instrument with which the part is measured; empty: not said
	Step         gauge.Length // a part made to size comes in whole steps; 0: in any size
}

// Aim is what a procedure wants within its limits.
type Aim string

// The aims.
const (
	AimMiddle    Aim = "middle"
	AimPlay      Aim = "play" // a stated play or preload
	AimThickest  Aim = "thickest"
	AimThinnest  Aim = "thinnest"
	AimLikeliest Aim = "likeliest"    // the greatest probability to end inside the limits
	AimTable     Aim = "table"        // the grade whose row of the table serves the gap
	AimCode      Aim = "marks"        // the grade that the table gives for the marks
	AimChart     Aim = "chart"        // the grade that the chart gives for measurements
	AimNearest   Aim = "nearest"      // to the thickness that is stated
	AimThicker   Aim = "next thicker" // the stated thickness or the next above
	AimThinner   Aim = "next thinner" // the stated thickness or the next below
)

// LooksUp reports whether marks or measurements give the part, without a gap.
func (a Aim) LooksUp() bool { return a == AimCode || a == AimChart }

// stated reports whether the aim is a thickness that the procedure states.
func (a Aim) stated() bool { return a == AimNearest || a == AimThicker || a == AimThinner }

// Border says whether a part exactly at a limit fits.
type Border string

// The border rules.
const (
	BorderInside  Border = "inside"
	BorderOutside Border = "outside"
)

// PackRule lets several pieces of a family lie on each other.
type PackRule struct {
	Least, Most int  // pieces
	SumFirst    bool // the sum nearest to the aim, of whatever number of pieces, instead of the fewest pieces
}

// mostPieces bounds a pack.
const mostPieces = 30

// Together says how several places whose parts make one sum are chosen: from
// all that can be had at all of them, first by the total, then by the split, or
// the other way.
type Together struct {
	SplitFirst bool
	Total      *formula.Expression // what the parts should be together; nil: what the places want, added up
	Within     *gauge.Length       // the total may be off by this much; nil: by half a step, the widest of the places
}
