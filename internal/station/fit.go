package station

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// ChooseRequest settles a part.
type ChooseRequest struct {
	Job    uint64
	Place  string // empty: the one place; of several, every one that lacks a part
	Part   string // empty: the recommended one
	Reason string // why another part than the recommended one; needed then
	By     string
}

// Choose settles the part of a place, or the recommended part of every place
// that lacks one.
func (s *Station) Choose(ctx context.Context, r ChooseRequest) (*job.Job, error) {
	return s.eachPlace(ctx, r.Job, r.By, r.Place, r.Part, (*job.Job).Unsettled, func(j *job.Job, place procedure.Place) (string, any, error) {
		recommended := j.FitAt(place.Name).Recommended()
		chosen := cmp.Or(r.Part, recommended)
		if err := mayBeFilled(j, place); err != nil {
			return "", nil, err
		}
		switch {
		case chosen == "" && place.ToSize:
			chosen = procedure.ToSize
		case chosen == "":
			return "", nil, gauge.Refused("refusal.part.none-recommended", at(place)...)
		}
		chosen = j.PartNamed(place, chosen)
		if place.Parts != "" {
			if none := notInFamily(j, place, chosen); none != "" {
				return "", nil, gauge.NotFound("refusal.part.unknown", gauge.Text("part", none), gauge.Text("family", place.Parts))
			}
			if !j.FitAt(place.Name).Recommends(chosen) && strings.TrimSpace(r.Reason) == "" {
				return "", nil, whyAnother(chosen, recommended)
			}
		}
		return job.KindChosen, job.ChosenData{Place: place.Name, Part: chosen, Reason: r.Reason}, nil
	})
}

// notInFamily is the part, or the first piece of a pack, that the family of a place
// does not have; empty when it has all.
func notInFamily(j *job.Job, place procedure.Place, part string) string {
	family := j.Families[place.Parts]
	if _, ok := family.Grade(part); ok || part == procedure.NoPart && place.Choose.None {
		return ""
	}
	if place.Choose.Pack == nil {
		return part
	}
	for _, piece := range procedure.PieceNames(part) {
		if _, ok := family.Grade(piece); !ok {
			return piece
		}
	}
	return ""
}

// mayBeFilled says why no part can be settled or fitted at a place yet.
func mayBeFilled(j *job.Job, place procedure.Place) error {
	switch waits := j.FitAt(place.Name).Waits; {
	case !j.IsMeasured():
		return notMeasured(j)
	case waits != "":
		return gauge.Refused("refusal.part.waits", append(at(place), gauge.Text("other", waits))...)
	}
	return nil
}

// notMeasured says why there is no part to be settled or fitted.
func notMeasured(j *job.Job) error {
	if j.Stage == job.StageDecided {
		return gauge.Refused("refusal.part.nothing-fitted", gauge.Count("job", j.ID), gauge.WordOf("outcome", "outcome", j.Evaluation.Outcome))
	}
	return gauge.Refused("refusal.part.measure-first", gauge.Count("job", j.ID))
}

// at says for which place, where there are several.
func at(p procedure.Place) []gauge.Arg {
	if p.Name == "" {
		return nil
	}
	return []gauge.Arg{gauge.Text("place", p.Name)}
}

// whyAnother asks why another part than the recommended one is taken.
func whyAnother(part, recommended string) error {
	if recommended == "" {
		return gauge.WrongInput("refusal.part.why-any", gauge.Text("part", part))
	}
	return gauge.WrongInput("refusal.part.why", gauge.Text("part", part), gauge.Text("recommended", recommended))
}

// FitRequest says which part was fitted.
type FitRequest struct {
	Job       uint64
	Place     string // empty: the one place; of several, every one that lacks a part
	Part      string // empty: the part that was settled on, else the recommended one
	Thickness string // measured, as it was read; empty when it was not measured
	Unit      gauge.Unit
	By        string
}

// Fit records the fitted part of a place, or the settled part of every place
// that lacks one; the measurements after fitting begin anew.
func (s *Station) Fit(ctx context.Context, r FitRequest) (*job.Job, error) {
	thickness, err := r.thickness()
	if err != nil {
		return nil, err
	}
	return s.eachPlace(ctx, r.Job, r.By, r.Place, r.Part+r.Thickness, (*job.Job).UnfittedNow, func(j *job.Job, place procedure.Place) (string, any, error) {
		fitted, err := toBeFitted(j, place, r.Part, thickness)
		return job.KindFitted, job.FittedData{Place: place.Name, Part: fitted.Part, Thickness: thickness, Shown: r.Thickness, Unit: r.Unit}, err
	})
}

// unsettle takes back what was settled for places whose part is another one after
// what was really fitted elsewhere.
func (d *draft) unsettle(before, j *job.Job, by string) (*job.Job, error) {
	for _, place := range j.Unfitted() {
		recommended := j.FitAt(place).Recommended()
		if j.Chosen[place] == "" || j.Chosen[place] == recommended || before.FitAt(place).Recommended() == recommended {
			continue
		}
		var err error
		data := job.ChosenData{Place: place, Reason: "what was fitted asks for another part here"}
		if j, err = d.step(j, gauge.JobFact{Job: j.ID, Kind: job.KindChosen, By: by, Data: job.Marshal(data)}, job.Taken{}); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// toBeFitted is what is meant to be fitted at a place: a part that is named, the one
// that was settled on, or the recommended one.
func toBeFitted(j *job.Job, place procedure.Place, part string, thickness *gauge.Length) (procedure.Fitted, error) {
	f := procedure.Fitted{Place: place.Name, Part: j.PartNamed(place, cmp.Or(part, j.Chosen[place.Name], j.FitAt(place.Name).Recommended())), Thickness: thickness}
	if err := mayBeFilled(j, place); err != nil {
		return f, err
	}
	switch {
	case f.Part == "" && place.ToSize:
		f.Part = procedure.ToSize
	case f.Part == "":
		return f, gauge.WrongInput("refusal.part.name-fitted", at(place)...)
	}
	if place.ToSize && thickness == nil && f.Part != procedure.NoPart {
		return f, gauge.WrongInput("refusal.part.made-to-size", at(place)...)
	}
	return f, nil
}

// Foretell says what the parts of a FitRequest would leave, and stores nothing: that
// of its place, or of every place that Fit would take it for.
func (s *Station) Foretell(ctx context.Context, r FitRequest) ([]evaluate.Foretold, *job.Job, error) {
	thickness, err := r.thickness()
	if err != nil {
		return nil, nil, err
	}
	j, err := s.Job(ctx, r.Job)
	if err != nil {
		return nil, nil, err
	}
	if !j.Closed.IsZero() {
		return nil, nil, gauge.Refused("refusal.job.closed", gauge.Count("job", j.ID))
	}
	if err := j.OnBench(); err != nil {
		return nil, nil, err
	}
	places, err := meant(j, r.Place, r.Part+r.Thickness, j.UnfittedNow())
	if err != nil {
		return nil, nil, err
	}
	var all []evaluate.Foretold
	for _, place := range places {
		fitted, err := toBeFitted(j, place, r.Part, thickness)
		if err != nil {
			return nil, nil, err
		}
		told, err := evaluate.Foretell(j.Procedure, j.Families, j.Input(j.Counting()), fitted)
		if err != nil {
			return nil, nil, fmt.Errorf("job %d: %w", j.ID, err)
		}
		all = append(all, told)
	}
	return all, j, nil
}

// thickness reads a measured thickness, nil when there is none.
func (r FitRequest) thickness() (*gauge.Length, error) {
	if r.Thickness == "" {
		return nil, nil
	}
	t, err := gauge.ParseLength(r.Thickness, r.Unit)
	if err != nil {
		return nil, gauge.WrongInput("refusal.part.thickness", gauge.Because("why", err))
	}
	if kind := r.Unit.Kind(); kind != gauge.KindLength {
		return nil, gauge.WrongInput("refusal.part.thickness-unit", gauge.Shown("thickness", r.Thickness, r.Unit), gauge.Text("unit", r.Unit.String()), gauge.Word("kind", kind.Word()))
	}
	if t <= 0 {
		return nil, gauge.WrongInput("refusal.part.too-thin", gauge.Shown("thickness", r.Thickness, r.Unit))
	}
	return &t, nil
}

// eachPlace adds a fact for a named place, or for all places that lack what the
// fact gives; what is said of one part cannot be meant for several places.
func (s *Station) eachPlace(ctx context.Context, id uint64, by, name, said string, lacking func(*job.Job) []string,
	decide func(*job.Job, procedure.Place) (kind string, data any, err error),
) (*job.Job, error) {
	return s.change(ctx, func(d *draft) (*job.Job, error) {
		j, err := d.openJob(id)
		if err != nil {
			return nil, err
		}
		places, err := meant(j, name, said, lacking(j))
		if err != nil {
			return nil, err
		}
		before := j
		for _, place := range places {
			kind, data, err := decide(j, place)
			if err != nil {
				return nil, err
			}
			if j, err = d.step(j, gauge.JobFact{Job: id, Kind: kind, By: cmp.Or(by, j.Technician), Data: job.Marshal(data)}, job.Taken{}); err != nil {
				return nil, err
			}
		}
		return d.unsettle(before, j, cmp.Or(by, j.Technician))
	})
}

// meant returns the places that are meant.
func meant(j *job.Job, name, said string, lacking []string) ([]procedure.Place, error) {
	all := j.Procedure.EachPlace()
	if len(all) == 0 {
		return nil, gauge.Refused("refusal.part.no-place", gauge.Text("procedure", j.Procedure.ID))
	}
	if place, ok := j.Procedure.PlaceNamed(name); ok {
		return []procedure.Place{place}, nil
	}
	var names []string
	for _, p := range all {
		names = append(names, p.Name)
	}
	switch {
	case name != "" && len(j.Procedure.Places) == 0:
		return nil, gauge.NotFound("refusal.part.one-place", gauge.Text("procedure", j.Procedure.ID))
	case name != "":
		return nil, gauge.NotFound("refusal.part.place-unknown", gauge.Text("place", name), gauge.Texts("places", names))
	case said != "":
		return nil, gauge.WrongInput("refusal.part.which-place", gauge.Texts("places", names))
	case len(lacking) == 0:
		return all, nil
	}
	return slices.DeleteFunc(slices.Clone(all), func(p procedure.Place) bool { return !slices.Contains(lacking, p.Name) }), nil
}
