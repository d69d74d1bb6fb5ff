package evaluate

import (
	"math/big"

	"gauged/internal/gauge"
)

// Ability is what is known of how well an instrument measures. Lengths are in
// Unit; what is nil is not stated.
type Ability struct {
	Unit        gauge.Unit    `json:"unit"`
	Resolution  *gauge.Length `json:"resolution,omitempty"` // step of the display
	Error       *gauge.Length `json:"error,omitempty"`      // maximum permissible error, either way
	Calibration *Expanded     `json:"calibration,omitempty"`
	Repeats     *Pooled       `json:"repeats,omitempty"` // its usual scatter
	Expansion   *Expansion    `json:"-"`                 // of its scale; nil: does not expand
}

// stated reports whether anything is known.
func (a Ability) stated() bool {
	return a.Resolution != nil || a.Error != nil || a.Calibration != nil || a.Repeats != nil
}

// Expanded is an expanded uncertainty with its coverage factor, as a
// calibration certificate states it.
type Expanded struct {
	Uncertainty gauge.Length `json:"uncertainty"`
	K           gauge.Length `json:"k"` // in gauge.One
}

// Pooled is a standard deviation pooled from earlier readings.
type Pooled struct {
	Deviation gauge.Length `json:"deviation"`
	Freedom   int          `json:"freedom"` // degrees of freedom
}

// Expansion is a coefficient of linear thermal expansion, in 1e-6/K.
type Expansion struct {
	PerKelvin *big.Rat
	Tolerance *big.Rat // either way; nil: exactly known
}

// Angle is between the line of a reading and the dimension that is wanted: the
// reading is multiplied by its cosine.
type Angle struct {
	Degrees   *big.Rat
	Tolerance *big.Rat // either way; nil: exactly known
	Cosine    *big.Rat // to nine decimals
}

// Temperature is at what temperature the work is done.
type Temperature struct {
	Of        *Expression // a measurement, constant or value in degC
	Tolerance *big.Rat    // kelvins either way; nil: exactly known
	Apart     *big.Rat    // gauge and part may differ by so many kelvins either way; nil: not at all
}

// Doubt is how far a stated value may be off.
type Doubt struct {
	Tolerance    *big.Rat // either way, to compute with; nil: exactly known
	Distribution string   // rectangular, triangular, normal (the tolerance is two standard deviations)
}

// Decide is how limits are applied.
type Decide struct {
	Simple   bool // simple acceptance, whatever the uncertainty
	Stated   bool // the procedure says so
	Required Probability
}
