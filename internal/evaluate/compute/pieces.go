package compute

import (
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Pieces are parts that fill a place together: one grade, or the pieces of a pack.
type Pieces []procedure.Grade

// Name lists the part numbers in the order in which they are stacked.
func (s Pieces) Name() string {
	parts := make([]string, len(s))
	for i, g := range s {
		parts[i] = g.Part
	}
	return strings.Join(parts, " + ")
}

// Ends are between what their thickness lies as it is stated.
func (s Pieces) Ends() (thinnest, thickest gauge.Length) {
	for _, g := range s {
		low, high := g.Ends()
		thinnest, thickest = thinnest+low, thickest+high
	}
	return thinnest, thickest
}

// Beyond is by how much the middle of what is stated is thicker than the nominal
// thickness.
func (s Pieces) Beyond() (total gauge.Length) {
	for _, g := range s {
		if g.Plus != nil {
			total += *g.Plus - *g.Minus
		}
	}
	return total / 2
}

// Nominal is how thick the parts are together as they are stamped.
func (s Pieces) Nominal() (sum gauge.Length) {
	for _, g := range s {
		sum += *g.Thickness
	}
	return sum
}
