package check

import (
	"math"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// Stated is an error of a gauge as a certificate, or a record of before, states it.
type Stated struct {
	Master      string
	Value       gauge.Length // of the master
	Falling     bool
	Error       gauge.Length
	Uncertainty gauge.Expanded // of the error, above zero
}

// EvaluateStated holds stated errors against what is permissible. It needs at least one.
func EvaluateStated(stated []Stated, a gauge.Ability) Result {
	var points []PointResult
	for _, s := range stated {
		b := uncertainty.Budget{Standard: uncertainty.FromExpanded(s.Uncertainty.Uncertainty.Metres(), one(s.Uncertainty.K)), Freedom: math.Inf(1)}
		points = append(points, PointResult{
			Master: s.Master, Falling: s.Falling, Mean: s.Value + s.Error, Reference: s.Value, Error: s.Error,
			Standard: b.Standard, K: rounded(b.Coverage(confidence), 1e3),
		})
	}
	return Input{Ability: a}.result(points)
}
