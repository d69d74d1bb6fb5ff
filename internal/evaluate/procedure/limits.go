package procedure

import (
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Bounds are limits that may depend on what is measured.
type Bounds struct {
	Limits                           // where they are plain numbers
	MinOf, MaxOf *formula.Expression // where they are formulas
	Negated      bool                // they limit a preload, which is a negative play
}

// Given reports whether there is any limit.
func (b Bounds) Given() bool { return b.Limited() || b.MinOf != nil || b.MaxOf != nil }

// Limits is a closed interval; a nil end is not limited.
type Limits struct {
	Min *gauge.Length `json:"min,omitempty"`
	Max *gauge.Length `json:"max,omitempty"`
}

// Contains reports whether l is inside or at an end.
func (r Limits) Contains(l gauge.Length) bool {
	return (r.Min == nil || l >= *r.Min) && (r.Max == nil || l <= *r.Max)
}

// Equal reports whether both have the same ends.
func (r Limits) Equal(other Limits) bool { return same(r.Min, other.Min) && same(r.Max, other.Max) }

func same(a, b *gauge.Length) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// Negative returns the limits of the negative value.
func (r Limits) Negative() Limits { return Limits{Negative(r.Max), Negative(r.Min)} }

// Limited reports whether there is at least one end.
func (r Limits) Limited() bool { return r.Min != nil || r.Max != nil }

// But returns limits with another end, or another two; nil leaves an end as it is.
func (r *Limits) But(low, high *gauge.Length) *Limits {
	changed := Limits{}
	if r != nil {
		changed = *r
	}
	if low != nil {
		changed.Min = low
	}
	if high != nil {
		changed.Max = high
	}
	return &changed
}

// Less is a range whose ends are less by a length; nil of nil. Both ends must be there.
func (r *Limits) Less(by gauge.Length) *Limits {
	if r == nil {
		return nil
	}
	least, most := *r.Min-by, *r.Max-by
	return &Limits{Min: &least, Max: &most}
}

// Apart reports whether two ranges have no value in common.
func (r Limits) Apart(o Limits) bool {
	return r.Min != nil && o.Max != nil && *o.Max < *r.Min || r.Max != nil && o.Min != nil && *o.Min > *r.Max
}

// Point reports whether no value but one is allowed, which nothing measured is
// probably just at.
func (r Limits) Point() bool { return r.Min != nil && r.Max != nil && *r.Min == *r.Max }

// within reports whether all of a range is inside limits.
func (r Limits) within(o Limits) bool {
	return (o.Min == nil || r.Min != nil && *r.Min >= *o.Min) && (o.Max == nil || r.Max != nil && *r.Max <= *o.Max)
}

// Negative is the negative of a length that may not be given.
func Negative(l *gauge.Length) *gauge.Length {
	if l == nil {
		return nil
	}
	n := -*l
	return &n
}
