package doubt

import (
	"math"
	"math/big"
	"testing"

	"gauged/internal/evaluate/formula"
)

// TestSlopesOfFunctions compares the slopes with differences of exact values.
func TestSlopesOfFunctions(t *testing.T) {
	for _, name := range []string{"cos", "sin", "sqrt", "tan"} {
		for _, x := range []float64{0.5, 7, 33, 61, 80} {
			at := func(x float64) float64 {
				r, err := (&formula.Node{Op: formula.OpCall, Name: name, Args: []*formula.Node{{Op: formula.OpNumber, Number: new(big.Rat).SetFloat64(x)}}}).Compute(nil)
				if err != nil {
					t.Fatal(err)
				}
				f, _ := r.Float64()
				return f
			}
			const h = 1e-4
			s := slope{value: x, by: []float64{1}}.through(name)
			difference := (at(x+h) - at(x-h)) / (2 * h)
			if math.Abs(s.value-at(x)) > 1e-12*(1+math.Abs(at(x))) || math.Abs(s.by[0]-difference) > 1e-6*(1+math.Abs(difference)) || !s.bends {
				t.Errorf("%s at %g: %+v, want %g and slope %g", name, x, s, at(x), difference)
			}
		}
	}
}
