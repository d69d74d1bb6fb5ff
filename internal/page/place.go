package page

import (
	"cmp"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/scale"
)

// fitView is a place where a part goes, with its scale.
type fitView struct {
	*evaluate.Fit
	Word    procedure.Word
	Chosen  string       // part that was settled on; empty: none yet
	Scale   *scale.Scale // of the thickness; nil: there is none to show
	ToSize  bool
	NoGap   bool                 // Gap is what a table is looked up by, which its sum shows in its unit
	OutOf   []evaluate.Candidate // that would fit and are out of stock
	Nearest *evaluate.Candidate  // when nothing fits: what comes nearest
	Failed  bool                 // a part is in, and its proof is not right
	Proof   job.PlaceProof       // what a proof that is not right says of the part that is in; empty: nothing
}

// Called is the name of the place for people; empty where there is only one.
func (v fitView) Called() string { return cmp.Or(v.Title, v.Place) }

// Done reports whether the part that was settled on is fitted.
func (v fitView) Done() bool {
	return v.Fitted != nil && (v.Chosen == "" || v.Chosen == v.Fitted.Part)
}

// Settled is the candidate to fetch: the one that was settled on, else the
// recommended one; nil when it is none of the grades.
func (v fitView) Settled() *evaluate.Candidate {
	part := cmp.Or(v.Chosen, v.Recommended())
	for i, c := range v.Candidates {
		if c.Part == part {
			return &v.Candidates[i]
		}
	}
	return nil
}

// Key is a text about the part that is in and whose proof is not right: which has failed,
// and which is undecided.
func (v fitView) Key(about string) string {
	if v.Proof.Undecided() {
		return "job.undecided." + about
	}
	return "job.failed." + about
}

// Again reports whether the part whose proof is not right is what the sum gives: then no
// part is recommended.
func (v fitView) Again() bool { return v.Failed && v.Recommends(v.Fitted.Part) }

// Note is what the grade is called that the sum gives.
func (v fitView) Note() string {
	if v.Proof != "" && v.Recommends(v.Fitted.Part) {
		return string(v.Proof)
	}
	return "recommended"
}

// Other reports whether another part was settled on than is recommended.
func (v fitView) Other() bool {
	return v.Chosen != "" && v.Recommended() != "" && v.Chosen != v.Recommended()
}

// Unfit reports whether a part was settled on that does not fit.
func (v fitView) Unfit() bool {
	c := v.Settled()
	return v.Chosen != "" && c != nil && !c.Fits
}

// packRow is a pack beside others.
type packRow struct {
	*evaluate.Pack
	Note string
}

// Packs lists the recommended pack with its neighbours.
func (v fitView) Packs() (rows []packRow) {
	for _, r := range []packRow{{v.PackThinner, "thinner"}, {v.Pack, v.Note()}, {v.PackThicker, "thicker"}} {
		if r.Pack != nil {
			rows = append(rows, r)
		}
	}
	return rows
}

func (j jobPage) places() (views []fitView) {
	for _, f := range j.Evaluation.EachFit() {
		place, ok := j.Procedure.PlaceNamed(f.Place)
		if !ok || f.Gap == nil && f.Aim == nil && len(f.Candidates) == 0 && f.Waits == "" {
			continue
		}
		v := fitView{Fit: f, Word: cmp.Or(place.Word, procedure.WordResult), Chosen: j.Chosen[f.Place], ToSize: place.ToSize, NoGap: place.NoGap}
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
			v.Nearest = nearest(f)
		}
		views = append(views, v)
	}
	return views
}

// nearest is the candidate whose thickness comes nearest to the aim.
func nearest(f *evaluate.Fit) *evaluate.Candidate {
	if f.Aim == nil {
		return nil
	}
	var best *evaluate.Candidate
	for i, c := range f.Candidates {
		if c.Thickness != nil && (best == nil || (*c.Thickness-*f.Aim).Abs() < (*best.Thickness-*f.Aim).Abs()) {
			best = &f.Candidates[i]
		}
	}
	return best
}
