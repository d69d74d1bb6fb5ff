package evaluate

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// tradeDir has one directory for each published example: the procedure file,
// the readings, the parts where there are any, and want.json, which says where
// in the evaluation each published answer is found.
const tradeDir = "../../testdata/trade"

type example struct {
	ID       string
	Unit     string
	Source   string
	Expected map[string]any
}

// TestPublishedExamples runs every published worked example as a procedure
// file. Sources stand in testdata/trade/worked_examples.json beside the
// answers, and in the files themselves.
func TestPublishedExamples(t *testing.T) { testExamples(t, "worked_examples.json", 40) }

// TestRulesOfTheTrade runs a procedure file for every rule that a driveline
// bench measures by. The rules are published or common practice, as the source
// of each says; the readings are made up and the answers were computed by hand.
func TestRulesOfTheTrade(t *testing.T) { testExamples(t, "rules.json", 21) }

// testExamples runs the examples of a list, of which there must be so many.
func testExamples(t *testing.T, list string, fewest int) {
	var file struct{ Examples []example }
	decode(t, filepath.Join(tradeDir, list), &file)
	if len(file.Examples) < fewest {
		t.Fatalf("only %d examples found", len(file.Examples))
	}
	for _, x := range file.Examples {
		t.Run(x.ID, func(t *testing.T) {
			e, p := evaluateDir(t, filepath.Join(tradeDir, x.ID))
			var want map[string]any
			decode(t, filepath.Join(tradeDir, x.ID, "want.json"), &want)
			for field, published := range x.Expected {
				if _, ok := want[field]; !ok {
					t.Errorf("published answer %q of %s is not checked", field, x.Source)
					continue
				}
				checkAnswer(t, e, p, field, published, want[field])
			}
		})
	}
}

// checkAnswer compares one published answer; where is a path such as
// "window min", or for a status the outcome that stands for the printed word.
func checkAnswer(t *testing.T, e Evaluation, p *procedure.Procedure, field string, answer, where any) {
	t.Helper()
	if path, ok := where.(string); ok && strings.HasPrefix(path, "pack ") {
		checkPack(t, e, p, field, answer)
		return
	}
	published, ok := answer.(string)
	if !ok {
		t.Fatalf("the published answer %s is %v, not a text", field, answer)
	}
	if words, ok := where.(map[string]any); ok {
		if other, ok := words[published].(map[string]any); ok {
			checkOther(t, field, other)
			return
		}
		if got := string(e.Outcome); got != words[published] {
			t.Errorf("%s: outcome %q, published %q", field, got, published)
		}
		return
	}
	if where == "choice" {
		if e.Choice == nil || e.Choice.Part != published {
			t.Errorf("%s: chosen %+v, published %q", field, e.Choice, published)
		}
		return
	}
	got, unit := find(t, e, p, where.(string))
	if want := gauge.MustLength(published, unit); got != want {
		t.Errorf("%s = %s %s, published %s", field, got.Text(unit, 6), unit, published)
	}
}

// checkOther evaluates the example again with another mark read, and compares
// the outcome.
func checkOther(t *testing.T, field string, other map[string]any) {
	t.Helper()
	dir := filepath.Join(tradeDir, filepath.Base(t.Name()))
	p, err := readProcedure("procedure.yaml", read(t, filepath.Join(dir, "procedure.yaml")))
	if err != nil {
		t.Fatal(err)
	}
	readings, err := procedure.ReadReadings("readings.csv", read(t, filepath.Join(dir, "readings.csv")), p)
	if err != nil {
		t.Fatal(err)
	}
	for i := range readings {
		if mark, ok := other[readings[i].Measurement].(string); ok {
			readings[i].Shown = mark
		}
	}
	e, err := Evaluate(p, nil, compute.Input{Readings: readings})
	if err != nil || string(e.Outcome) != other["outcome"] {
		t.Errorf("%s: outcome %q, %v, published %q", field, e.Outcome, err, other["outcome"])
	}
}

// checkPack compares a published answer about a pack; its parts are named by
// their thickness.
func checkPack(t *testing.T, e Evaluation, p *procedure.Procedure, field string, published any) {
	t.Helper()
	var pack Pack
	if e.Pack != nil {
		pack = *e.Pack
	}
	var got any
	switch field {
	case "reachable":
		got = e.Pack != nil
	case "pieces":
		if e.Pack != nil {
			got = float64(len(pack.Pieces))
		}
	case "count":
		got = fmt.Sprint(len(pack.Pieces))
	case "sum":
		got = pack.Thickness.Text(p.Unit, 3)
	case "order":
		got = strings.ReplaceAll(pack.Name(), " + ", ",")
	case "optimal_packs":
		optimal := published.([]any)
		if slices.ContainsFunc(optimal, func(o any) bool { return samePieces(pack, o.([]any)) }) || len(optimal) == 0 && e.Pack == nil {
			return
		}
		got = pack.Name()
	}
	if got != published {
		t.Errorf("%s: %v, published %v", field, got, published)
	}
}

func samePieces(pack Pack, thicknesses []any) bool {
	var got, want []string
	for _, g := range pack.Pieces {
		got = append(got, g.Part)
	}
	for _, t := range thicknesses {
		want = append(want, t.(string))
	}
	slices.Sort(got)
	slices.Sort(want)
	return slices.Equal(got, want)
}

// find looks a value up by its path, with the unit in which it is shown.
func find(t *testing.T, e Evaluation, p *procedure.Procedure, path string) (gauge.Length, gauge.Unit) {
	t.Helper()
	kind, name, _ := strings.Cut(path, " ")
	switch kind {
	case "gap":
		return *e.Gap, p.Unit
	case "aim":
		for _, f := range e.EachFit() {
			if f.Place == name {
				return *f.Aim, p.Unit
			}
		}
	case "window", "between":
		limits := e.Window
		if kind == "between" {
			limits = e.Between
		}
		if name == "min" || name == "low" {
			return *limits.Min, p.Unit
		}
		return *limits.Max, p.Unit
	case "measurement":
		for _, m := range e.Measurements {
			if m.Name == name {
				return *m.Value, m.Unit
			}
		}
	case "sum":
		for _, s := range e.Sums {
			if s.Name == name {
				return s.Value, s.Unit
			}
		}
	}
	t.Fatalf("the evaluation has no %q", path)
	return 0, p.Unit
}

// TestCommonPracticeRing: gap 0.078 in, allowed end play 0.004 to 0.010 in,
// so the ring must be 0.068 to 0.074 in and 0.071 in is fitted (common
// practice, no source).
func TestCommonPracticeRing(t *testing.T) {
	e, p := evaluateDir(t, filepath.Join(tradeDir, "common-practice"))
	if got := p.ShowLimits(*e.Window); got != "0.0680 to 0.0740 in" {
		t.Errorf("window %s", got)
	}
	if e.Outcome != FitPart || e.Choice.Part != "ring 71" || p.Show(*e.Choice.Play) != "0.0070 in" {
		t.Errorf("outcome %s, choice %+v", e.Outcome, e.Choice)
	}
	if e.Thinner.Part != "ring 68" || e.Thicker.Part != "ring 74" || !e.Thinner.Fits || !e.Thicker.Fits {
		t.Errorf("neighbours %+v and %+v: both rings at the limits must fit", e.Thinner, e.Thicker)
	}
}

func evaluateDir(t *testing.T, dir string) (Evaluation, *procedure.Procedure) {
	t.Helper()
	p, family, in := readDir(t, dir)
	e, err := Evaluate(p, family, in)
	if err != nil {
		t.Fatal(err)
	}
	return e, p
}

func readDir(t *testing.T, dir string) (*procedure.Procedure, *procedure.Family, compute.Input) {
	t.Helper()
	p, err := readProcedure("procedure.yaml", read(t, filepath.Join(dir, "procedure.yaml")))
	if err != nil {
		t.Fatal(err)
	}
	var family *procedure.Family
	content, err := os.ReadFile(filepath.Join(dir, "parts.yaml"))
	if err == nil {
		family, err = procedure.ReadFamily("parts.yaml", content)
	} else if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err != nil {
		t.Fatal(err)
	}
	readings, err := procedure.ReadReadings("readings.csv", read(t, filepath.Join(dir, "readings.csv")), p)
	if err != nil {
		t.Fatal(err)
	}
	return p, family, compute.Input{Readings: readings}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

func decode(t *testing.T, path string, into any) {
	t.Helper()
	if err := json.Unmarshal(read(t, path), into); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
}
