package procedure

import (
	"math/big"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Toleranced reports whether it is stated how far the part may be off.
func (g Grade) Toleranced() bool { return g.Tolerance != nil || g.Plus != nil }

// Ends are the stated ends of a part's thickness.
func (g Grade) Ends() (thinnest, thickest gauge.Length) {
	switch {
	case g.Plus != nil:
		return *g.Thickness - *g.Minus, *g.Thickness + *g.Plus
	case g.Tolerance != nil:
		return *g.Thickness - *g.Tolerance, *g.Thickness + *g.Tolerance
	}
	return *g.Thickness, *g.Thickness
}

// Half is half of the width in which the part's thickness lies as it is stated;
// nil where nothing is.
func (g Grade) Half() *gauge.Length {
	if g.Plus == nil {
		return g.Tolerance
	}
	half := (*g.Plus + *g.Minus + 1) / 2
	return &half
}

// tolerance reads how far a grade may be off: either way, {plus, minus}, or as the
// printed range of the part itself, which must hold the nominal thickness.
func (r *familyReader) tolerance(g *Grade, m *shopfile.Map) {
	tolerance, printed := m.Get("tolerance"), m.Get("range")
	if printed.Given() {
		tolerance.Wrong(gauge.Say("entry.range-and-tolerance"))
		r.printedRange(g, printed)
		return
	}
	if !tolerance.Given() {
		return
	}
	if g.Tolerance != nil {
		tolerance.Wrong(gauge.Say("entry.thickness-and-tolerance"))
	}
	if !tolerance.IsMap() || tolerance.Map().Get(r.f.Unit.String()).Given() {
		t := r.positive(tolerance)
		g.Tolerance = &t
		return
	}
	tm := tolerance.Map()
	plus, minus := tm.Need("plus").Positive(r.f.Unit, true), tm.Need("minus").Positive(r.f.Unit, true)
	tm.Done()
	g.either(*plus, *minus)
}

// either keeps a tolerance, as one number where it is the same both ways.
func (g *Grade) either(plus, minus gauge.Length) {
	switch {
	case plus != minus:
		g.Plus, g.Minus = &plus, &minus
	case plus != 0:
		g.Tolerance = &plus
	}
}

func (r *familyReader) printedRange(g *Grade, v shopfile.Value) {
	limits := readLimits(v, r.f.Unit)
	if g.Thickness == nil || limits.Min == nil || limits.Max == nil {
		v.Wrong(gauge.Say("entry.range-beside"))
		return
	}
	if !limits.Contains(*g.Thickness) {
		v.Wrong(gauge.Say("entry.range-outside", shortest("thickness", *g.Thickness, r.f.Unit), gauge.Shown("min", Shortest(*limits.Min, r.f.Unit), gauge.UnitUnknown), shortest("max", *limits.Max, r.f.Unit)))
		return
	}
	g.either(*limits.Max-*g.Thickness, *g.Thickness-*limits.Min)
}

// widest is the larger of both ways; nil where nothing is stated.
func (g Grade) widest() *gauge.Length {
	if g.Plus == nil {
		return g.Tolerance
	}
	widest := max(*g.Plus, *g.Minus)
	return &widest
}

// Stated is what is stated of a part's thickness: its middle, by which it counts once
// it is in (JCGM 100, 4.3.7, from memory: the estimate is the midpoint), and half of
// the width in which it lies, 0 where no tolerance is stated.
func (g Grade) Stated() (middle, half *big.Rat) {
	low, high := g.Ends()
	return big.NewRat(int64(low+high), 2), big.NewRat(int64(high-low), 2)
}

// OneSided reports whether the middle is not the thickness that is stamped.
func (g Grade) OneSided() bool { return g.Plus != nil }
