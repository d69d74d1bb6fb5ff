package procedure

import "gauged/internal/gauge"

// HalfStep is half the least step between two grades.
func (f *Family) HalfStep() gauge.Length {
	least := gauge.MaxLength
	for i, g := range f.Grades {
		if i > 0 && g.Thickness != nil && f.Grades[i-1].Thickness != nil {
			least = min(least, *g.Thickness-*f.Grades[i-1].Thickness)
		}
	}
	return least / 2
}

// Nearer is the grade whose nominal thickness is nearest to a measured one, and nearer
// than the thickness than; nil for none.
func (f *Family) Nearer(measured, than gauge.Length) (nearest *Grade) {
	least := (measured - than).Abs()
	for i, g := range f.Grades {
		if g.Thickness == nil || g.Part == NoPart {
			continue
		}
		if off := (measured - *g.Thickness).Abs(); off < least {
			least, nearest = off, &f.Grades[i]
		}
	}
	return nearest
}
