// Package place says of a place where a part goes what the page shows of it: which part is
// meant, which others there are, and why they are not right.
package place

import (
	"cmp"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/page/scale"
)

// View is a place where a part goes, with its scale.
type View struct {
	*evaluate.Fit
	Word     procedure.Word
	Chosen   string               // part that was settled on; empty: none yet
	Required evaluate.Probability // to end inside, where the limits are guarded
	Scale    *scale.Scale         // of the thickness; nil: there is none to show
	ToSize   bool
	NoGap    bool                 // Gap is what a table is looked up by, which its sum shows in its unit
	OutOf    []evaluate.Candidate // that would fit and are out of stock
	Nearest  *evaluate.Candidate  // when nothing fits: what comes nearest
	Failed   bool                 // a part is in, and its proof is not right
	Proof    job.PlaceProof       // what a proof that is not right says of the part that is in; empty: nothing
}

// Called is the name of the place for people; empty where there is only one.
func (v View) Called() string { return cmp.Or(v.Title, v.Place) }

// Done reports whether the part that was settled on is fitted.
func (v View) Done() bool {
	return v.Fitted != nil && (v.Chosen == "" || v.Chosen == v.Fitted.Part)
}

// Settled is the candidate to fetch: the one that was settled on, else the
// recommended one; nil when it is none of the grades.
func (v View) Settled() *evaluate.Candidate {
	part := cmp.Or(v.Chosen, v.Recommended())
	for i, c := range v.Candidates {
		if c.Part == part {
			return &v.Candidates[i]
		}
	}
	return nil
}

// Meant is the part that goes in: what was settled on, else what is recommended, or
// one that is made to size. Empty: nothing can be fitted.
func (v View) Meant() string {
	switch {
	case v.Chosen != "":
		return v.Chosen
	case v.Recommended() != "":
		return v.Recommended()
	case v.ToSize && v.Aim != nil:
		return procedure.ToSize
	}
	return ""
}

// With is the place with another part settled on.
func (v View) With(part string) View {
	v.Chosen = part
	return v
}

// Key is a text about the part that is in and whose proof is not right: which has failed,
// and which is undecided.
func (v View) Key(about string) string {
	if v.Proof.Undecided() {
		return "job.undecided." + about
	}
	return "job.failed." + about
}

// Again reports whether the part whose proof is not right is what the sum gives: then no
// part is recommended.
func (v View) Again() bool { return v.Failed && v.Recommends(v.Fitted.Part) }

// Note is what the grade is called that the sum gives.
func (v View) Note() string {
	if v.Proof != "" && v.Recommends(v.Fitted.Part) {
		return string(v.Proof)
	}
	return "recommended"
}

// Other reports whether another part was settled on than is recommended.
func (v View) Other() bool {
	return v.Chosen != "" && v.Recommended() != "" && v.Chosen != v.Recommended()
}

// Unfit is the part that was settled on and is not right; nil: it is, or nothing is known of it.
func (v View) Unfit() *evaluate.Candidate {
	if c := v.Settled(); v.Chosen != "" && c != nil && v.Against(*c).Key != right {
		return c
	}
	return nil
}

// Opinion is whether a part is right at a place, as a text of the catalogue, and why not.
type Opinion struct {
	Key string
	Why gauge.Message // zero: nothing says it, or it is right
}

// The opinions.
const (
	right  = "job.other.fits"
	misfit = "job.other.fits-not"
	poor   = "job.other.poor" // it fits, and yet the rule does not take it
)

// Against holds a grade against what decides here: the limits, the rule, and the proof that
// it had. A grade that is merely out of stock is right.
func (v View) Against(c evaluate.Candidate) Opinion {
	guarded := v.Rule.Code == "rule.guard" && c.Probability != nil && *c.Probability < v.Required
	switch {
	case !c.Fits:
		return Opinion{misfit, c.PassedOver}
	case v.Failed && v.Fitted.Part == c.Part:
		return Opinion{poor, gauge.Say("sheet.note." + string(v.Proof))}
	case guarded && !v.Recommends(c.Part):
		return Opinion{poor, gauge.Say("passed.unlikely", procedure.Chance("probability", *c.Probability))}
	case !c.PassedOver.IsZero() && !c.Out():
		return Opinion{poor, c.PassedOver}
	}
	return Opinion{Key: right}
}

// Pack is a pack beside others.
type Pack struct {
	*evaluate.Pack
	Note string
}

// Packs lists the recommended pack with its neighbours.
func (v View) Packs() (rows []Pack) {
	for _, r := range []Pack{{v.PackThinner, "thinner"}, {v.Pack, v.Note()}, {v.PackThicker, "thicker"}} {
		if r.Pack != nil {
			rows = append(rows, r)
		}
	}
	return rows
}

// Nearest is the candidate of a place whose thickness comes nearest to the aim.
func Nearest(f *evaluate.Fit) *evaluate.Candidate {
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
