package procedure

import (
	"math/big"

	"gauged/internal/evaluate/formula"
	"gauged/internal/uncertainty"
)

// Angle is between the line of a reading and the dimension that is wanted: the
// reading is multiplied by its cosine.
type Angle struct {
	Degrees   *big.Rat
	Tolerance *big.Rat // either way; nil: exactly known
	Cosine    *big.Rat // to nine decimals; the mean one, where the angle is not exactly known
}

// Misalignment is by how much a gauge may be out of line: it may lean in any
// direction, evenly over the cone, so that the cosine is even between that of the
// greatest angle and one (compare JCGM 100, F.2.4.4). The reading is never too
// short: it is multiplied by the mean.
type Misalignment struct {
	Degrees *big.Rat
	Mean    *big.Rat // half of one and the cosine
}

// Temperature is at what temperature the work is done.
type Temperature struct {
	Of        *formula.Expression // a measurement, constant or value in degC
	Tolerance *big.Rat            // kelvins either way; nil: exactly known
	Apart     *big.Rat            // gauge and part may differ by so many kelvins either way; nil: not at all
}

// Doubt is how far a stated value may be off.
type Doubt struct {
	Tolerance    *big.Rat // either way, to compute with; nil: exactly known
	Distribution string   // rectangular, triangular, u-shaped, or normal
	K            *big.Rat // of a normal one: the tolerance is so many standard deviations; nil: two
	Freedom      int      // degrees of freedom of what is known; 0: infinite
}

// Decide is how limits are applied.
type Decide struct {
	Simple   bool // simple acceptance, whatever the uncertainty
	Stated   bool // the procedure says so
	Required uncertainty.Probability
}
