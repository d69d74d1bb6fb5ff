package vet

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate"
)

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

// TestCheckIsBounded: no file within the limits of its lists makes a check long.
func TestCheckIsBounded(t *testing.T) {
	long := strings.Repeat("a+", 100_000) + "a"
	for _, c := range []struct {
		name, want string
		content    []byte
	}{
		{"judged results times examples", "p.yaml:210:3: the formulas have 2211 names, numbers and signs; times 200 examples that is 442200, and at most 100000 are run", loaded("sqrt(a*a+b*b)", 200, 200)},
		{"Monte Carlo runs of examples", "p.yaml:211:5: up to the example the examples need too many Monte Carlo runs", bytes.ReplaceAll(loaded("a", 200, 3), []byte("measure again"), []byte("undecided"))},
		{"a long formula", `p.yaml:6:6: "` + long[:77] + `..." has more than 1000 names`, loaded(long, 0, 0)},
		{"a long formula that is wrong", `p.yaml:6:6: "` + long[:77] + `..." cannot be computed`, loaded(long+"*", 0, 0)},
	} {
		p, err := ReadProcedure("p.yaml", c.content)
		if err == nil {
			err = CheckExamples(p, nil)
		}
		if err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 1000 {
			t.Errorf("%s: %.1000v", c.name, err)
		}
	}
}

// TestTooManyBentResultsAreRefused: what would take a station long is refused, at the
// result where it gets too much.
func TestTooManyBentResultsAreRefused(t *testing.T) {
	long := "sqrt(" + strings.Repeat("a*b + ", 99) + "a*b)"
	_, err := ReadProcedure("p.yaml", []byte(strings.ReplaceAll(string(loaded("a", 20, 0)), "sqrt(a*a+b*b)", long)))
	want := "p.yaml:23:8: up to here the formulas that bend, such as products and roots, have 6045 names, numbers and signs"
	if err == nil || !strings.HasPrefix(err.Error(), want) {
		t.Errorf("got %v, want %s", err, want)
	}
}

// TestLongFormulaOfTheHistory: what was in force once is read all the same.
func TestLongFormulaOfTheHistory(t *testing.T) {
	if _, err := evaluate.ReadStoredProcedure("p.yaml", loaded(strings.Repeat("a+", 1000)+"a", 0, 1)); err != nil {
		t.Errorf("%.1000v", err)
	}
}

// TestCheckEnds: nobody waits any longer, and no further example is run.
func TestCheckEnds(t *testing.T) {
	p, err := ReadProcedure("p.yaml", loaded("a", 0, 3))
	if err != nil {
		t.Fatal(err)
	}
	gone, asked := errors.New("gone"), 0
	err = CheckExamplesUntil(p, nil, func() error {
		if asked++; asked == 2 {
			return gone
		}
		return nil
	})
	if !errors.Is(err, gone) || asked != 2 {
		t.Errorf("asked %d times: %v", asked, err)
	}
}
