package page

import (
	"cmp"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/place"
)

func (j jobPage) places() (views []place.View) {
	for _, f := range j.Evaluation.EachFit() {
		at, ok := j.Procedure.PlaceNamed(f.Place)
		if !ok || f.Gap == nil && f.Aim == nil && len(f.Candidates) == 0 && f.Waits == "" {
			continue
		}
		v := place.View{Fit: f, Word: cmp.Or(at.Word, procedure.WordResult), Chosen: j.Chosen[f.Place], Required: j.Procedure.Decide.Required, ToSize: at.ToSize, NoGap: at.NoGap}
		if f.Fitted != nil && j.badProof() {
			v.Proof = j.PlaceProof(f.Place)
			v.Failed = v.Proof != job.PlacePassed
		}
		v.Scale = j.thicknesses(v)
		for _, c := range f.Candidates {
			if c.Fits && evaluate.OutOfStock(c) {
				v.OutOf = append(v.OutOf, c)
			}
		}
		if f.Choice == nil && f.Pack == nil {
			v.Nearest = place.Nearest(f)
		}
		views = append(views, v)
	}
	return views
}

// CurrentFirst lists the places with the one first whose part is fitted now.
func (j jobPage) CurrentFirst() []place.View {
	act := j.Act()
	later := func(v place.View) int {
		if act.Name == "fit" && v.Place == act.Fit.Place {
			return 0
		}
		return 1
	}
	return slices.SortedStableFunc(slices.Values(j.Places), func(a, b place.View) int { return later(a) - later(b) })
}
