package config

import (
	"errors"
	"fmt"

	"gauged/internal/devices"
	"gauged/internal/devices/simulate"
	"gauged/internal/evaluate"
	"gauged/internal/shopfile"
	"gauged/internal/station"
)

// Checked is one file that was read without a problem.
type Checked struct {
	Path string `json:"path"`
	Kind string `json:"kind"` // station, layout, procedure, parts or scenario
	ID   string `json:"id"`
}

// Check reads files of any kind and says what each of them is. Procedures are
// checked against the part families among the files, when their family is
// there. The error lists every problem.
func Check(paths []string, getenv func(string) string) ([]Checked, error) {
	var checked []Checked
	var errs []error
	var procedures []*evaluate.Procedure
	families := map[string]*evaluate.Family{}
	at := map[string]string{}
	for _, path := range paths {
		files, err := readFiles(path)
		if err != nil {
			errs = append(errs, err)
		}
		for _, file := range files {
			c, err := checkFile(file, getenv)
			if err != nil {
				errs = append(errs, err)
				continue
			}
			checked = append(checked, c.Checked)
			if c.family != nil {
				families[c.ID] = c.family
			}
			if c.procedure != nil {
				procedures = append(procedures, c.procedure)
				at[c.ID] = file.Path
			}
		}
	}
	for _, p := range procedures {
		if f, ok := families[p.FamilyID()]; ok {
			errs = append(errs, p.Suits(f, at[p.ID]))
		}
	}
	return checked, errors.Join(errs...)
}

type checkedFile struct {
	Checked
	procedure *evaluate.Procedure
	family    *evaluate.Family
}

// checkFile tells the kind of a file by the key that names it.
func checkFile(file station.LibraryFile, getenv func(string) string) (c checkedFile, err error) {
	c.Path = file.Path
	switch c.Kind = kindOf(file); c.Kind {
	case "layout":
		var layout *devices.Layout
		if layout, err = devices.ParseLayout(file.Path, file.Content); err == nil {
			c.ID = layout.Name
		}
	case "procedure":
		if c.procedure, err = evaluate.ReadProcedure(file.Path, file.Content); err == nil {
			c.ID = c.procedure.ID
		}
	case "parts":
		if c.family, err = evaluate.ReadFamily(file.Path, file.Content); err == nil {
			c.ID = c.family.ID
		}
	case "station":
		var config *Config
		if config, err = Load(file.Path, getenv); err == nil {
			c.ID = config.Station
		}
	case "scenario":
		err = checkScenario(file)
	default:
		if doc := shopfile.Parse(file.Path, file.Content); doc.Err() != nil {
			return c, doc.Err()
		}
		err = fmt.Errorf("%s:1:1: what the file describes is not said: it needs one of the keys station, layout, procedure or family, or the gauges of a scenario", file.Path)
	}
	return c, err
}

func kindOf(file station.LibraryFile) string {
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
func checkScenario(file station.LibraryFile) error {
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		return err
	}
	doc := shopfile.Parse(file.Path, file.Content)
	simulate.ReadScenario(doc.Root(), layouts.Find)
	return doc.Err()
}
