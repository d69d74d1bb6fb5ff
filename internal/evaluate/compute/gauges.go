package compute

import (
	"fmt"
	"math/big"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Ability is what is known of the gauge that gives a step's readings: what the
// station knows of the gauge itself, else what the procedure says of such
// instruments.
func (j *Job) Ability(s procedure.Step) gauge.Ability {
	if a, ok := j.In.Gauges[s.Name]; ok {
		return a
	}
	return j.P.Instruments[s.Instrument]
}

// Warmer is by how many kelvins the work is warmer than 20 degC; nil when the
// temperature is not stated.
func (j *Job) Warmer() (*big.Rat, error) {
	if j.P.Temperature == nil {
		return nil, nil
	}
	at, err := j.P.Temperature.Of.Compute(&j.V)
	if err != nil {
		return nil, fmt.Errorf("temperature: %w", err)
	}
	return new(big.Rat).Sub(at, referenceTemperature), nil
}

// referenceTemperature of lengths, in degC (ISO 1).
var referenceTemperature = big.NewRat(20, 1)

// Expansion is that of the scale with which a step is measured.
func (j *Job) Expansion(s procedure.Step) (x gauge.Expansion, stated bool) {
	return gauge.ExpansionOf(j.Ability(s).Expansion)
}

// PerMillion is what expansions are stated in.
func PerMillion() *big.Rat { return big.NewRat(1, 1_000_000) }
