package config

import (
	"context"
	"errors"
	"slices"
	"strings"

	"gauged/internal/devices"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
	"gauged/internal/vet"
)

// Checked is one file that was read without a problem.
type Checked struct {
	Path string        `json:"path"`
	Kind string        `json:"kind"` // station, layout, procedure, parts or scenario
	ID   string        `json:"id"`
	Note gauge.Message `json:"note,omitzero"` // what was tried, or could not be, and what to look at again
	// Not everything could be tried, for a file that was not among those named.
	Partly bool `json:"partly,omitempty"`
}

// Check reads files of any kind and says what each of them is. Procedures are
// checked against the part families among the files, when their family is
// there, and their examples are run. The error lists every
// problem. It ends early, with its error, when ctx does.
func Check(ctx context.Context, paths []string, getenv func(string) string) ([]Checked, error) {
	var checked []Checked
	var errs []error
	var files []checkedFile
	families, broken := procedure.Families{}, map[string]bool{} // broken: of files with problems
	for _, path := range paths {
		found, err := readFiles(path)
		if err != nil {
			errs = append(errs, err)
		}
		for _, file := range found {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			c, err := checkFile(ctx, file, getenv)
			if err != nil {
				errs = append(errs, err)
				broken[shopfile.NameIn(file.Content, "family")] = true
				continue
			}
			if c.family != nil {
				families[c.ID] = c.family
			}
			files = append(files, c)
		}
	}
	for i := range files {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if p := files[i].procedure; p != nil && p.Lacks(families) != "" && broken[p.Lacks(families)] {
			files[i].Note, files[i].Partly = gauge.Say("note.family-wrong", gauge.Text("family", p.Lacks(families))), true
		} else if p != nil {
			var err error
			if files[i].Note, files[i].Partly, err = together(ctx, p, families, files[i].Path); err != nil {
				errs = append(errs, err)
				continue
			}
			files[i].Note = lookAgain(files[i].Note, append(vet.Doubtful(p), vet.DoubtfulWith(p, families)...))
		}
		checked = append(checked, files[i].Checked)
	}
	return sorted(checked, errs)
}

// lookAgain is a note with what is in doubt behind it.
func lookAgain(note gauge.Message, doubtful []gauge.Message) gauge.Message {
	if len(doubtful) == 0 {
		return note
	}
	args := []gauge.Arg{gauge.Nested("doubts", oneAfterOther(doubtful...))}
	if !note.IsZero() {
		args = append(args, gauge.Nested("fine", note))
	}
	return gauge.Say("note.look-again", args...)
}

// oneAfterOther is several notes as one; zero where none of them says anything.
func oneAfterOther(notes ...gauge.Message) (all gauge.Message) {
	for _, note := range notes {
		switch {
		case all.IsZero():
			all = note
		case !note.IsZero():
			all = gauge.Say("note.next", gauge.Nested("first", all), gauge.Nested("next", note))
		}
	}
	return all
}

// sorted keeps each problem once, as files that name each other report it for
// each of them, and takes out of checked the files that one of them lies in.
func sorted(checked []Checked, errs []error) ([]Checked, error) {
	problems := once(errors.Join(errs...))
	checked = slices.DeleteFunc(checked, func(c Checked) bool {
		return slices.ContainsFunc(problems, func(p error) bool { return strings.HasPrefix(p.Error(), c.Path+":") })
	})
	return checked, errors.Join(problems...)
}

// once parts an error into its problems and keeps each of them once.
func once(err error) (problems []error) {
	told := map[string]bool{}
	for _, one := range shopfile.Each(err) {
		if !told[one.Error()] {
			told[one.Error()] = true
			problems = append(problems, one)
		}
	}
	return problems
}

// together checks a procedure with those of its part families that are among
// the files, and runs its examples.
func together(ctx context.Context, p *procedure.Procedure, families procedure.Families, path string) (note gauge.Message, partly bool, err error) {
	if err := p.Suits(families, path); err != nil {
		return note, false, err
	}
	n := len(p.Examples)
	switch lacks := p.Lacks(families); {
	case lacks != "" && len(families) > 0:
		return note, false, p.Missing(lacks, families, path)
	case lacks != "":
		return gauge.Say("note.not-tried", gauge.Text("family", lacks)), true, nil
	case n == 0:
		return note, false, nil
	}
	if err := vet.CheckExamplesUntil(p, families, ctx.Err); err != nil {
		return note, false, err
	}
	if n == 1 {
		return gauge.Say("note.example"), false, nil
	}
	return gauge.Say("note.examples", gauge.Count("count", n)), false, nil
}

type checkedFile struct {
	Checked
	procedure *procedure.Procedure
	family    *procedure.Family
}

// checkFile tells the kind of a file by the key that names it.
func checkFile(ctx context.Context, file library.Source, getenv func(string) string) (c checkedFile, err error) {
	c.Path = file.Path
	switch c.Kind = kindOf(file); c.Kind {
	case "layout":
		var layout *devices.Layout
		if layout, err = devices.ParseLayout(file.Path, file.Content); err == nil {
			c.ID = layout.Name
		}
	case "procedure":
		if c.procedure, err = vet.ReadProcedure(file.Path, file.Content); err == nil {
			c.ID = c.procedure.ID
			err = vet.CheckWidths(c.procedure, file.Path, file.Content)
		}
	case "parts":
		if c.family, err = procedure.ReadFamily(file.Path, file.Content); err == nil {
			c.ID = c.family.ID
			err = c.family.CheckSteps()
		}
	case "station":
		var config *Config
		if config, err = Load(ctx, file.Path, getenv); err == nil {
			c.ID, c.Note = config.Station, oneAfterOther(config.CannotKeep(), config.IsOpen())
		}
	case "scenario":
		err = checkScenario(file)
	default:
		if doc := shopfile.Parse(file.Path, file.Content); doc.Err() != nil {
			return c, doc.Err()
		}
		err = shopfile.Problem{File: file.Path, Line: 1, Column: 1, Says: gauge.Say("library.no-kind")}
	}
	return c, err
}

func kindOf(file library.Source) string {
	root := shopfile.Parse(file.Path, file.Content).Root()
	if !root.IsMap() {
		return ""
	}
	m := root.Map()
	for _, kind := range []struct{ key, kind string }{
		{"procedure", "procedure"},
		{"family", "parts"},
		{"layout", "layout"},
		{"station", "station"},
		{"gauges", "scenario"}, // of simulated gauges
	} {
		if m.Get(kind.key).Given() {
			return kind.kind
		}
	}
	return ""
}

// checkScenario reads a scenario of simulated gauges on the shipped layouts.
func checkScenario(file library.Source) error {
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		return err
	}
	doc := shopfile.Parse(file.Path, file.Content)
	simulate.ReadScenario(doc.Root(), layouts.Find)
	return doc.Err()
}
