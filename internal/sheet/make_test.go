package sheet

import (
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/vet"
	"gauged/internal/words"
)

// worked is a job of a procedure with what was read, such as "depth 40.10", and fitted.
// The files are invented for these tests.
func worked(t *testing.T, file, family string, fitted []procedure.Fitted, readings ...string) *job.Job {
	t.Helper()
	p, err := vet.ReadProcedure("p.yaml", []byte(file))
	if err != nil {
		t.Fatal(err)
	}
	families := procedure.Families{}
	if family != "" {
		f, err := procedure.ReadFamily("f.yaml", []byte(family))
		if err != nil {
			t.Fatal(err)
		}
		families[f.ID] = f
	}
	in := compute.Input{Fitted: fitted}
	for _, reading := range readings {
		measurement, shown, _ := strings.Cut(reading, " ")
		r, err := p.Typed(measurement, shown, p.Units[measurement])
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := evaluate.Evaluate(p, families, in)
	if err != nil {
		t.Fatal(err)
	}
	return &job.Job{
		ID: 7, UnitSerial: "U-7", Technician: "N", Procedure: p, Families: families, Evaluation: e,
		Started: time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC),
	}
}

// in is a text catalogue in a language.
func in(t *testing.T, language words.Language) words.Words {
	t.Helper()
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	return c.In(language)
}

// made is the sheet of a job.
func made(t *testing.T, in Input, w words.Words) *Sheet {
	t.Helper()
	s, err := New(in, w)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func said(t *testing.T, w words.Words, key string) string {
	t.Helper()
	text, err := w.Say(key)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// row is the row of a table that begins with a cell, under its heads.
func row(t *testing.T, s *Sheet, section, first string) map[string]string {
	t.Helper()
	for _, of := range s.Sections {
		if of.Title != section || of.Table == nil {
			continue
		}
		i := slices.IndexFunc(of.Table.Rows, func(r Row) bool { return r.Cells[0] == first })
		if i < 0 {
			t.Fatalf("%s has no row %q: %v", section, first, of.Table.Rows)
		}
		cells := map[string]string{}
		for n, head := range of.Table.Head {
			cells[head] = of.Table.Rows[i].Cells[n]
		}
		return cells
	}
	t.Fatalf("no table %q", section)
	return nil
}

const oneShim = `procedure: shim
title: A shim behind a bearing
unit: mm
measure: {depth: {title: depth}}
gap: depth
allow: {play: {min: 0.10, max: 0.20}}
parts: shims
choose: {method: middle}
verify:
  measure: {play_after: {title: play}}
  play: play_after
`

const shims = "family: shims\ntitle: Shims\nunit: mm\nseries: {from: 1.00, to: 2.00, step: 0.05}\n"

func fittedShim(thickness string) []procedure.Fitted {
	l := gauge.MustLength(thickness, gauge.Millimetre)
	return []procedure.Fitted{{Part: thickness, Thickness: &l, Measured: true}}
}

// TestMissedLimitIsWritten: nowhere on the sheet is a value that misses its limit written
// as that limit, neither in this round nor in an earlier one.
func TestMissedLimitIsWritten(t *testing.T) {
	j := worked(t, oneShim, shims, fittedShim("1.50"), "depth 1.65", "play_after 0.20001")
	if j.Evaluation.Outcome != evaluate.DoesNotConform {
		t.Fatal(j.Evaluation.Outcome)
	}
	j.Rounds = []job.Round{{Number: 1, Results: j.Evaluation.Judgements, Outcome: j.Evaluation.Outcome}}
	for language, want := range map[words.Language][4]string{
		"en": {"0.20001 mm", "0.100 mm to 0.200 mm", "Play", "Round 1"},
		"de": {"0,20001 mm", "0,100 mm bis 0,200 mm", "Spiel", "Runde 1"},
	} {
		w := in(t, language)
		s := made(t, Input{Job: j}, w)
		head := func(key string) string { return said(t, w, "sheet.head."+key) }
		for section, cell := range map[string][3]string{
			"sheet.before-after": {want[2], "after", want[0]},
			"sheet.judged":       {want[2], "value", want[0]},
			"sheet.rounds":       {want[3], "after", want[2] + " " + want[0]},
		} {
			cells := row(t, s, said(t, w, section), cell[0])
			if got := cells[head(cell[1])]; got != cell[2] {
				t.Errorf("%s, %s: %q, not %q", language, section, got, cell[2])
			}
			if got := cells[head("allowed")]; got != want[1] {
				t.Errorf("%s, %s: allowed %q, not %q", language, section, got, want[1])
			}
		}
	}
}

const shaft = `procedure: shaft
title: A shaft
unit: mm
measure: {depth: {title: depth}}
gap: depth
allow: {result: {min: 1, max: 2}}
`

// TestMarkOfAnEarlierRound: a mark stands beside the mark that was asked for.
func TestMarkOfAnEarlierRound(t *testing.T) {
	j := worked(t, shaft, "", nil, "depth 1.5")
	j.Rounds = []job.Round{{Number: 1, Results: []evaluate.Judgement{{Name: "pattern", Title: "Pattern", Mark: "heel", Wanted: "middle"}}, Outcome: evaluate.DoesNotConform}}
	w := in(t, "en")
	if cells := row(t, made(t, Input{Job: j}, w), "Earlier rounds", "Round 1"); cells["After"] != "Pattern heel" || cells["Allowed"] != "middle" {
		t.Errorf("%v", cells)
	}
}

// TestUnitsAsPeopleReadThem: a sheet is written for people, not for a keyboard.
func TestUnitsAsPeopleReadThem(t *testing.T) {
	for u, want := range map[gauge.Unit]string{gauge.Micrometre: "12 µm", gauge.Degree: "12 °", gauge.Millimetre: "12 mm", gauge.One: "12"} {
		if got := (&maker{}).unit("12", u); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// TestUnitsInSentences: a sentence of the sheet writes a unit as the tables beside it do, in
// the middle of another sentence too.
func TestUnitsInSentences(t *testing.T) {
	j := worked(t, oneShim, shims, fittedShim("1.50"), "depth 1.65")
	failed := gauge.Say("warning.failed", gauge.Count("n", 1), gauge.List("readings", gauge.Count("", 7)), gauge.Text("gauge", "dial"),
		gauge.Text("check", "a check"), gauge.Shown("error", "20.0", gauge.Micrometre), gauge.Shown("limit", "8.0", gauge.Micrometre))
	j.Warnings = []gauge.Message{gauge.Say("warning.doubt.verdict", gauge.Nested("because", failed))}
	for language, want := range map[words.Language][2]string{"en": {"20.0 µm", "verdict is in doubt"}, "de": {"20,0 µm", "Urteil ist zweifelhaft"}} {
		w := in(t, language)
		s := made(t, Input{Job: j}, w)
		i := slices.IndexFunc(s.Sections, func(of Section) bool { return of.Title == said(t, w, "sheet.warnings") })
		if i < 0 || !strings.Contains(s.Sections[i].Notes[0], want[0]) || strings.Contains(s.Sections[i].Notes[0], want[1]) {
			t.Errorf("%s: %v", language, s.Sections)
		}
	}
}
