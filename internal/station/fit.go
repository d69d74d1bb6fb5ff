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
			chosen = "made to size"
		case chosen == "":
			return "", nil, fmt.Errorf("%w: no part is recommended%s; name one, with the reason", gauge.ErrRefused, forPlace(place))
		}
		chosen = partNamed(j, place, chosen)
		if place.Parts != "" {
			if none := notInFamily(j, place, chosen); none != "" {
				return "", nil, fmt.Errorf("%w: there is no part %q in the family %s", gauge.ErrNotFound, none, place.Parts)
			}
			if !j.FitAt(place.Name).Recommends(chosen) && strings.TrimSpace(r.Reason) == "" {
				return "", nil, fmt.Errorf("%w: %s is not the recommended part (%s); say why it is taken", gauge.ErrInput, chosen, cmp.Or(recommended, "there is none"))
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
		return fmt.Errorf("%w: %s", gauge.ErrRefused, notMeasured(j))
	case waits != "":
		return fmt.Errorf("%w: the part%s depends on what is really fitted at %s; fit that first and record it", gauge.ErrRefused, forPlace(place), waits)
	}
	return nil
}

// notMeasured says why there is no part to be settled or fitted.
func notMeasured(j *job.Job) string {
	if j.Stage == job.StageDecided {
		return fmt.Sprintf("nothing is fitted in job %d: it %s as it is", j.ID, j.Evaluation.Outcome)
	}
	return fmt.Sprintf("job %d is not measured yet; measure before a part is fitted", j.ID)
}

func forPlace(p procedure.Place) string {
	if p.Name == "" {
		return ""
	}
	return " for " + p.Name
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

// partNamed is the part that somebody means who says what is marked on it, where
// one grade of the family has that mark.
func partNamed(j *job.Job, place procedure.Place, said string) string {
	family, ok := j.Families[place.Parts]
	if !ok || said == "" {
		return said
	}
	if _, ok := family.Grade(said); ok {
		return said
	}
	named := said
	for _, g := range family.Grades {
		switch {
		case !strings.EqualFold(g.Mark, said):
		case named != said:
			return said // two grades have that mark
		default:
			named = g.Part
		}
	}
	return named
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
	f := procedure.Fitted{Place: place.Name, Part: partNamed(j, place, cmp.Or(part, j.Chosen[place.Name], j.FitAt(place.Name).Recommended())), Thickness: thickness}
	if err := mayBeFilled(j, place); err != nil {
		return f, err
	}
	switch {
	case f.Part == "" && place.ToSize:
		f.Part = "made to size"
	case f.Part == "":
		return f, fmt.Errorf("%w: no part is recommended%s; name the one that was fitted", gauge.ErrInput, forPlace(place))
	}
	if place.ToSize && thickness == nil && f.Part != procedure.NoPart {
		return f, fmt.Errorf("%w: the part%s is made to size; give its measured thickness", gauge.ErrInput, forPlace(place))
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
		return nil, nil, fmt.Errorf("%w: job %d is closed", gauge.ErrRefused, j.ID)
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
		return nil, fmt.Errorf("%w: thickness: %w", gauge.ErrInput, err)
	}
	if kind := r.Unit.Kind(); kind != gauge.KindLength {
		return nil, fmt.Errorf("%w: thickness %s: %v is a unit of %v; use mm, in or um", gauge.ErrInput, r.Unit.Quantity(r.Thickness), r.Unit, kind)
	}
	if t <= 0 {
		return nil, fmt.Errorf("%w: thickness %s %s: a part is thicker than zero", gauge.ErrInput, r.Thickness, r.Unit)
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
		return nil, fmt.Errorf("%w: procedure %s fits no part", gauge.ErrRefused, j.Procedure.ID)
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
		return nil, fmt.Errorf("%w: procedure %s has only one place; leave its name out", gauge.ErrNotFound, j.Procedure.ID)
	case name != "":
		return nil, fmt.Errorf("%w: there is no place %q; the places are %s", gauge.ErrNotFound, name, strings.Join(names, ", "))
	case said != "":
		return nil, fmt.Errorf("%w: say for which place; the places are %s", gauge.ErrInput, strings.Join(names, ", "))
	case len(lacking) == 0:
		return all, nil
	}
	return slices.DeleteFunc(slices.Clone(all), func(p procedure.Place) bool { return !slices.Contains(lacking, p.Name) }), nil
}
