package job

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// TestHintsByWeight: what spoils the values comes first, then readings that disagree, an
// open verdict, checks that are due and remarks; a check that was due at the start is not
// told beside a check that the same gauge has failed since.
func TestHintsByWeight(t *testing.T) {
	of := func(code, id string) gauge.Message { return gauge.Say(code, gauge.Text("gauge", id)) }
	found := func(code evaluate.FindingCode) evaluate.Finding {
		return evaluate.Finding{Code: code, Says: gauge.Say(string(code))}
	}
	j := &Job{Warnings: []gauge.Message{
		of("due.never_checked", "dial"), of("due.never_checked", "probe"), of("due.by_hand", "clock"),
		of("due.never_passed", "snap"), gauge.Say("warning.out", gauge.Text("gauge", "snap"), gauge.Nested("why", gauge.Say("turn.failed"))),
		of("due.never_checked", "dropped"), of("warning.out", "dropped"),
		gauge.Say("warning.doubt.measured", gauge.Nested("because", of("warning.failed", "dial"))),
	}}
	var got []string
	for _, m := range j.Hints([]evaluate.Finding{found(evaluate.FindingMonteCarlo), found(evaluate.FindingNearLimit), found(evaluate.FindingDisagree)}) {
		got = append(got, m.Code+" "+gaugeOf(m))
	}
	want := []string{"warning.out snap", "warning.out dropped", "warning.doubt.measured dial", "disagree ", "near_limit ", "due.by_hand clock", "due.never_checked probe", "due.never_checked dropped", "monte_carlo "}
	if !slices.Equal(got, want) {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// TestWeightsKnowTheirCodes: each code of the order is one that can be told, and is in one row.
func TestWeightsKnowTheirCodes(t *testing.T) {
	var known string
	for _, file := range []string{"../evaluate/evaluation.go", "../evaluate/doubt/doubts.go", "../words/messages/due.yaml", "../words/messages/warnings.yaml"} {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		known += string(content)
	}
	seen := map[string]bool{}
	for _, code := range slices.Concat(weights...) {
		if !strings.Contains(known, `"`+code+`"`) && !strings.Contains(known, "\n"+code+":") {
			t.Errorf("%s is told nowhere", code)
		}
		if seen[code] {
			t.Errorf("%s is in two rows", code)
		}
		seen[code] = true
	}
	for _, due := range regexp.MustCompile(`(?m)^due\.\w+`).FindAllString(known, -1) {
		if weight(due) == len(weights) {
			t.Errorf("%s has no weight", due)
		}
	}
}
