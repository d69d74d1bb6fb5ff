package vet

import (
	"math/big"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// slippedUnits are by how much thicknesses are off that are written in another unit than
// their file says.
var slippedUnits = []struct {
	times *big.Rat // of what was meant
	shown string
	code  string
}{
	{big.NewRat(254, 10), "25.4", "example.too-thick"},
	{big.NewRat(10, 254), "25.4", "example.too-thin"},
	{big.NewRat(1000, 1), "1000", "example.too-thick"},
	{big.NewRat(1, 1000), "1000", "example.too-thin"},
	{big.NewRat(25400, 1), "25400", "example.too-thick"},
	{big.NewRat(1, 25400), "25400", "example.too-thin"},
	{big.NewRat(10, 1), "10", "example.too-thick"},
	{big.NewRat(1, 10), "10", "example.too-thin"},
}

// slippedFamily says of a procedure whose examples do not come out that they all do once
// the thicknesses of one family are taken in another unit; nil where that is not so. place
// is that of the example.
func slippedFamily(p *procedure.Procedure, parts procedure.Families, place string) error {
	for _, id := range p.FamilyIDs() {
		for _, slip := range slippedUnits {
			tried := procedure.Families{}
			for other, f := range parts {
				tried[other] = f
			}
			tried[id] = scaled(parts[id], new(big.Rat).Inv(slip.times))
			if tried[id] != nil && comesOut(p, tried) {
				return shopfile.ProblemAt(place, gauge.Say("example.family-unit", gauge.Text("family", id), gauge.Nested("slip", gauge.Say(slip.code, gauge.Shown("times", slip.shown, gauge.UnitUnknown))), gauge.Text("unit", parts[id].Unit.String())))
			}
		}
	}
	return nil
}

// scaled is the family with its thicknesses times a factor; nil where they are not then
// lengths, or there are none.
func scaled(f *procedure.Family, factor *big.Rat) *procedure.Family {
	other := *f
	other.Grades = nil
	times := func(l *gauge.Length) (*gauge.Length, bool) {
		if l == nil {
			return nil, true
		}
		exact := new(big.Rat).Mul(new(big.Rat).SetInt64(int64(*l)), factor)
		whole := new(big.Int).Quo(exact.Num(), exact.Denom())
		length := gauge.Length(whole.Int64())
		return &length, whole.IsInt64()
	}
	for _, g := range f.Grades {
		for _, l := range []**gauge.Length{&g.Thickness, &g.Tolerance, &g.Plus, &g.Minus} {
			var ok bool
			if *l, ok = times(*l); !ok {
				return nil
			}
		}
		if g.Thickness == nil {
			return nil
		}
		other.Grades = append(other.Grades, g)
	}
	return &other
}

// comesOut reports whether all examples do.
func comesOut(p *procedure.Procedure, parts procedure.Parts) bool {
	effort := evaluate.NewEffort()
	for _, x := range p.Examples {
		e, err := effort.Evaluate(p, parts, compute.Input{Readings: x.Readings, Fitted: x.Fitted})
		if err != nil || effort.Spent() {
			return false
		}
		for _, want := range x.Wants {
			if _, ok := compareAnswer(&x, p, &e, want); !ok {
				return false
			}
		}
	}
	return len(p.Examples) > 0
}
