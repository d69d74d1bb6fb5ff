package job

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// TestStoredVerdictsComeOutAgain: a job that an earlier program started is evaluated by the
// rules that held then, so that the verdicts it has stored come out byte by byte.
func TestStoredVerdictsComeOutAgain(t *testing.T) {
	files := NewFiles(stored{
		"p": "procedure: p\ntitle: t\nunit: mm\ninstruments: {dial: {resolution: 0.001, error: 0.003}}\nmeasure: {g: {title: gap, instrument: dial}}\ngap: g\nallow: {play: {min: 0.08, max: 0.16}}\nparts: kit\nchoose: {method: middle}\n",
		"f": "family: kit\ntitle: t\nunit: mm\ngrades: [{part: wide, thickness: 1.45, tolerance: 0.04}, {part: close, thickness: 1.5, tolerance: 0.004}]\n",
	})
	shown, at := gauge.MustLength("1.62", gauge.Millimetre), gauge.Millimetre
	for rules, want := range []string{"play with close", "play with wide"} {
		data := `{"unit_serial": "U", "procedure_hash": "p", "parts_hash": "f"}`
		if rules > 0 {
			data = fmt.Sprintf(`{"unit_serial": "U", "procedure_hash": "p", "parts_hash": "f", "rules": %d}`, rules)
		}
		var j *Job
		for i, f := range []gauge.JobFact{
			{Kind: KindStarted, Data: []byte(data)},
			{Kind: KindTaken, Data: Marshal(TakenData{Reading: 1, Measurement: "g"})},
			{Kind: KindFitted, Data: Marshal(FittedData{Part: "wide"})},
		} {
			var err error
			f.Job = 1
			if j, err = j.With(gauge.Fact{Seq: uint64(i + 2), Job: &f}, Taken{Reading: &gauge.Reading{Gauge: "dial", Value: shown, Shown: "1.620", Unit: at}}, files); err != nil {
				t.Fatal(err)
			}
		}
		told := strings.Contains(string(j.Evaluated), `"predicted"`)
		if got := j.Evaluation.Budgets[len(j.Evaluation.Budgets)-1].Of; got != want || told != (rules > 0) {
			t.Errorf("by rules %d the last budget is of %q, and the prediction is told: %v", rules, got, told)
		}
		if rules > Rules {
			t.Errorf("jobs start with rules %d", Rules)
		}
	}
}

// TestAPlayOfTwoGaugesOfBefore: a job of the rules of before keeps a verdict on a play of two
// gauges, one that starts now is measured again.
func TestAPlayOfTwoGaugesOfBefore(t *testing.T) {
	files := NewFiles(stored{"p": "procedure: p\ntitle: t\nunit: mm\nmeasure: {in: {title: in, plausible: {min: -1}}, out: {title: out}}\ngap: out - in\nallow: {result: {max: 1}}\n"})
	for rules, want := range map[int]evaluate.Outcome{0: evaluate.Conforms, 1: evaluate.Conforms, Rules: evaluate.MeasureAgain} {
		j := measuredBy(t, files, rules, map[string]string{"in": "dial-1", "out": "dial-2"})
		if j.Evaluation.Outcome != want {
			t.Errorf("by rules %d: %s, want %s", rules, j.Evaluation.Outcome, want)
		}
	}
}

// TestTypedInOfBefore: what was typed in without a gauge came from one by the rules of before,
// so that half of its error was lost in a difference; of a job that starts now each value is of
// the instrument that the procedure names.
func TestTypedInOfBefore(t *testing.T) {
	files := NewFiles(stored{"p": "procedure: p\ntitle: t\nunit: mm\ninstruments: {depth gauge: {error: 0.006}, micrometer: {error: 0.006}}\n" +
		"measure: {a: {title: a, instrument: depth gauge, plausible: {min: 0.01}}, b: {title: b, instrument: micrometer, plausible: {min: 0.01}}}\ngap: a - b\nallow: {result: {max: 1}}\n"})
	for rules, want := range map[int]int{2: 1, Rules: 2} {
		j := measuredBy(t, files, rules, map[string]string{"a": gauge.TypedIn, "b": gauge.TypedIn})
		errors := 0
		for _, c := range j.Evaluation.Budgets[0].Contributions {
			if strings.Contains(c.Source, "error of the gauge") {
				errors++
			}
		}
		if errors != want {
			t.Errorf("by rules %d the budget has %d errors of gauges, want %d: %+v", rules, errors, want, j.Evaluation.Budgets[0].Contributions)
		}
	}
}

// measuredBy is a job of the procedure p by some rules, with one reading of 0.1 mm of each
// measurement from a gauge.
func measuredBy(t *testing.T, files *Files, rules int, from map[string]string) *Job {
	t.Helper()
	facts := []gauge.JobFact{{Job: 1, Kind: KindStarted, Data: Marshal(StartedData{UnitSerial: "U", ProcedureHash: "p", Rules: rules})}}
	names := slices.Sorted(maps.Keys(from))
	for i, name := range names {
		facts = append(facts, gauge.JobFact{Job: 1, Kind: KindTaken, Data: Marshal(TakenData{Reading: uint64(i + 1), Measurement: name})})
	}
	var j *Job
	for i, f := range facts {
		var taken Taken
		if i > 0 {
			taken.Reading = &gauge.Reading{Gauge: from[names[i-1]], Shown: "0.100", Value: gauge.MustLength("0.1", gauge.Millimetre), Unit: gauge.Millimetre}
		}
		var err error
		if j, err = j.With(gauge.Fact{Seq: uint64(i + 2), Job: &f}, taken, files); err != nil {
			t.Fatal(err)
		}
	}
	return j
}
