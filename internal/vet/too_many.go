package vet

import (
	"slices"

	"gauged/internal/evaluate/combine"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tooManyOf lists the places for which there may be more combinations than are tried,
// before anything is measured.
func tooManyOf(p *procedure.Procedure, parts procedure.Parts) (notes []gauge.Message) {
	product, counts := 1, []gauge.Arg{}
	type packs struct {
		of   string
		rule procedure.PackRule
	}
	known := map[packs]gauge.Message{} // what is said of them; zero: all can be tried
	for _, place := range p.EachPlace() {
		f := parts.Family(place.Parts)
		if f == nil {
			continue
		}
		if place.Choose.Pack != nil {
			key := packs{f.ID, *place.Choose.Pack}
			if _, ok := known[key]; !ok {
				known[key] = tooManyPacksOf(p, place, f)
			}
			if said := known[key]; !said.IsZero() {
				notes = append(notes, procedure.InPlace(place.Name, said))
				continue
			}
		}
		if p.Together == nil {
			continue
		}
		n := optionsOf(&place, f)
		product = min(product*max(n, 1), combine.MostCombinations+1)
		counts = append(counts, gauge.Nested("", gauge.Say("note.ways", gauge.Count("ways", n), gauge.Text("place", place.Name))))
	}
	if product > combine.MostCombinations {
		notes = append(notes, gauge.Say("note.places-many", gauge.Count("most", combine.MostCombinations), gauge.List("ways", counts...)))
	}
	return notes
}

// tooManyPacksOf says from where on the packs of a place are too many to try; zero where
// all can be tried.
func tooManyPacksOf(p *procedure.Procedure, place procedure.Place, f *procedure.Family) gauge.Message {
	most, all := packsUpTo(&place, f, p.Together != nil)
	if all {
		return gauge.Message{}
	}
	args := []gauge.Arg{gauge.Count("most", place.Choose.Pack.Most), gauge.Text("family", f.ID)}
	if most > 0 {
		args = append(args, gauge.Typed("thickness", p.Show(most)))
	}
	return gauge.Say("note.packs-many", args...)
}

// packsUpTo is about up to which thickness all packs at a place can be tried; it reports
// true when that is all of them.
func packsUpTo(p *procedure.Place, f *procedure.Family, together bool) (most gauge.Length, all bool) {
	rule := *p.Choose.Pack
	fine := func(limit gauge.Length) bool {
		if together {
			_, ok := combine.Ways(f.Grades, rule, procedure.Limits{Min: &limit, Max: &limit})
			return ok
		}
		return combine.CanTry(f.Grades, rule, limit)
	}
	thickest := gauge.Length(rule.Most) * *f.Grades[len(f.Grades)-1].Thickness
	if fine(thickest) {
		return thickest, true
	}
	low, high := gauge.Length(0), thickest
	for range 5 { // to a thirtieth of the thickest pack
		if half := (low + high) / 2 / 1e6 * 1e6; fine(half) { // whole micrometres
			low = half
		} else {
			high = half
		}
	}
	return low, false
}

// options is how many parts or packs a place may choose from at most, whatever is
// measured.
func optionsOf(p *procedure.Place, f *procedure.Family) int {
	var width gauge.Length
	b := p.Allowed
	switch {
	case p.Within != nil:
		width = 2 * *p.Within
	case p.Thickness != nil:
		return 2 // the two grades around it
	case b.Min != nil && b.Max != nil && b.MinOf == nil && b.MaxOf == nil:
		width = *b.Max - *b.Min
	default:
		return len(f.Grades)
	}
	sums := make([]gauge.Length, 0, len(f.Grades))
	if p.Choose.Pack == nil {
		for _, g := range f.Grades {
			if g.Thickness != nil && !g.Out() {
				sums = append(sums, *g.Thickness)
			}
		}
	} else {
		thickest := gauge.Length(p.Choose.Pack.Most) * *f.Grades[len(f.Grades)-1].Thickness
		packs, _ := combine.Ways(f.Grades, *p.Choose.Pack, procedure.Limits{Max: &thickest})
		for _, o := range packs {
			sums = append(sums, o.Thickness)
		}
	}
	return mostWithin(sums, width)
}

// mostWithin is how many of the lengths lie in the window of that width that holds the
// most of them.
func mostWithin(sums []gauge.Length, width gauge.Length) (most int) {
	slices.Sort(sums)
	first := 0
	for i, sum := range sums {
		for sum-sums[first] > width {
			first++
		}
		most = max(most, i-first+1)
	}
	return most
}
