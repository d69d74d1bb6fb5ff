package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
)

// bentAt evaluates a procedure of the test of effort, with so many results that bend
// (numbers ours).
func bentAt(t *testing.T, p *procedure.Procedure) (full, brief Evaluation) {
	t.Helper()
	var in compute.Input
	for name, shown := range map[string]string{"a": "0.005", "b": "0.010"} {
		r, err := p.Typed(name, shown, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	full, err := Evaluate(p, nil, in)
	if err == nil {
		brief, err = NewBrief().Evaluate(p, nil, in)
	}
	if err != nil {
		t.Fatal(err)
	}
	return full, brief
}

// TestManyBentResultsShareTheDraws: the more results bend, the fewer draws each gets, so
// that an evaluation stays short; how many is said, and a recall takes as many.
func TestManyBentResultsShareTheDraws(t *testing.T) {
	for judges, want := range map[int]int{3: 200_000, 60: 90_000, 200: 27_000} {
		p, err := readProcedure("p.yaml", loaded("a", judges, 0))
		if err != nil {
			t.Fatal(err)
		}
		e, brief := bentAt(t, p)
		simulated := 0
		for _, b := range e.Budgets {
			if b.Simulated == nil || !strings.HasPrefix(b.Of, "j") {
				continue
			}
			if simulated++; b.Simulated.Draws != want {
				t.Fatalf("of %d: %d draws, want %d", judges, b.Simulated.Draws, want)
			}
		}
		said := fmt.Sprintf("%d draws of a Monte Carlo run through the formula (JCGM 101).", want)
		if want < 200_000 {
			said += " The usual number is 200000; here many results bend."
		}
		if simulated != judges || !strings.HasSuffix(findingOf(e, FindingMonteCarlo), said) {
			t.Errorf("of %d were drawn %d; said is %q", judges, simulated, findingOf(e, FindingMonteCarlo))
		}
		for i, j := range e.Judgements {
			if other := brief.Judgements[i]; j.Outcome != other.Outcome || *j.Probability != *other.Probability {
				t.Fatalf("%s: %v %v, in brief %v %v", j.Name, j.Outcome, *j.Probability, other.Outcome, *other.Probability)
			}
		}
	}
}

// TestTooManyBentResults: what would take a station long, and the history has, is taken by
// its slopes, and said.
func TestTooManyBentResults(t *testing.T) {
	long := "sqrt(" + strings.Repeat("a*b + ", 99) + "a*b)"
	text := []byte(strings.ReplaceAll(string(loaded("a", 20, 0)), "sqrt(a*a+b*b)", long))
	p, err := ReadStoredProcedure("p.yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	e, _ := bentAt(t, p)
	if got := findingOf(e, FindingBySlopes); !strings.HasPrefix(got, "j0 is no straight line within the uncertainty of ") || strings.Contains(findingsText(e), "through the formula") {
		t.Errorf("said is %q", got)
	}
}

// TestWhatBends: sums, multiples and means of what is measured do not, whatever they are
// called; products, quotients and functions of it do.
func TestWhatBends(t *testing.T) {
	for formula, want := range map[string]bool{
		"a + 2*b - mean(a, b)": false, "a/3": false, "sqrt(9)*a": false, "even*a": false, "v - a": false,
		"a*b/a": true, "12/a*b": true, "largest(a, b)": true, "even*v*v/v": true, "loose*a/a": true,
	} {
		text := "procedure: p\ntitle: t\nunit: mm\nmeasure: {a: {title: x}, b: {title: x}}\nconstants: {even: {value: 2, unit: number}, loose: {value: 2, tolerance: 1}}\n" +
			"values: {v: a + b}\njudge: {j: {value: \"" + formula + "\", max: 9}}\n"
		p, err := readProcedure("p.yaml", []byte(text))
		if err != nil {
			t.Errorf("%s: %v", formula, err)
			continue
		}
		if got := len(doubt.BentOf(p)) > 0; got != want {
			t.Errorf("%s bends: %v", formula, got)
		}
	}
}

// loaded is a procedure with so many bent results and examples (numbers ours).
func loaded(gap string, judges, examples int) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "procedure: p\ntitle: t\nunit: mm\ninstruments: {d: {error: 0.01, resolution: 0.001}}\n"+
		"measure: {a: {title: x, instrument: d}, b: {title: x, instrument: d}}\ngap: %s\nallow: {result: {min: 0, max: 900}}\n", gap)
	if judges > 0 {
		b.WriteString("judge:\n")
	}
	for i := range judges {
		fmt.Fprintf(&b, "  j%d: {value: sqrt(a*a+b*b), max: %d}\n", i, i+1)
	}
	if examples > 0 {
		b.WriteString("examples:\n" + strings.Repeat("  - {readings: {a: 0.005, b: 0.01}, wants: {outcome: measure again}}\n", examples))
	}
	return []byte(b.String())
}
