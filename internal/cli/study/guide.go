package study

import (
	"errors"
	"fmt"
	"strings"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
)

// What a typed line does to the reading that is waited for.
var (
	errStudyLeft  = errors.New("the study was left")
	errRowChanged = errors.New("another reading is waited for")
)

// studyGuide says what is measured next, and keeps what was.
type studyGuide struct {
	app    *app.App
	sheet  *sheet
	path   string
	person string // who measured last
}

func (g *studyGuide) sayf(format string, args ...any) {
	fmt.Fprintf(g.app.Stderr, format+"\n", args...)
}

// ask says what is to be measured.
func (g *studyGuide) ask(i int) {
	r := g.sheet.rows[i]
	if r.person != g.person {
		g.person = r.person
		g.sayf("%s", show.Say("study.hands", r.person))
	}
	what := show.Say("study.part", r.part)
	switch {
	case r.master != "":
		what = show.Say("study.master", r.master)
	case r.reference != "":
		what = show.Say("study.at", r.reference)
	}
	g.sayf("%s, trial %s: reading %d of %d", what, r.trial, i+1, len(g.sheet.rows))
}

// put keeps a reading, in the file at once.
func (g *studyGuide) put(i int, value, unit, seq string) error {
	if err := g.sheet.put(i, value, unit, seq); err != nil {
		g.sayf("  %v", err)
		return nil
	}
	g.sayf("  %s %s", value, unit)
	return g.sheet.save(g.path)
}

// said does what a typed line says: q, d, or a value with its unit.
func (g *studyGuide) said(line string) error {
	switch line {
	case "q":
		return errStudyLeft
	case "d":
		r, ok := g.sheet.takeBack()
		if !ok {
			g.sayf("  there is no reading to discard yet")
			return nil
		}
		g.sayf("  discarded: %s %s", r.value, r.unit)
		if err := g.sheet.save(g.path); err != nil {
			return err
		}
		return errRowChanged
	}
	value, unit, err := app.TypedValue(line)
	if err == nil && strings.Contains(value, "..") {
		err = fmt.Errorf("%q is an interval: a study needs a single value", value)
	}
	if err != nil {
		g.sayf("  %v; Enter takes the reading, d discards the last one, q leaves", err)
		return nil
	}
	if err := g.put(g.sheet.next(), value, show.UnitSymbol(unit), ""); err != nil {
		return err
	}
	return errRowChanged
}
