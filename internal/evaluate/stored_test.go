package evaluate

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// TestEvaluationsAreReadBack: what the history keeps of every procedure of the
// tests, measured by gauges whose error is stated, is read back to the last byte.
func TestEvaluationsAreReadBack(t *testing.T) {
	dirs, err := filepath.Glob("../../testdata/trade/*/readings.csv")
	if err != nil || len(dirs) < 40 {
		t.Fatalf("%d procedures with readings, %v", len(dirs), err)
	}
	probabilities := 0
	for _, file := range dirs {
		dir := filepath.Dir(file)
		p, family, in := readDir(t, dir)
		in.Gauges = map[string]gauge.Ability{}
		for _, r := range in.Readings {
			limit := gauge.MustLength("0.001", r.Unit)
			in.Gauges[r.Measurement] = gauge.Ability{Unit: r.Unit, Error: &limit}
		}
		e, err := Evaluate(p, family, in)
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		probabilities += strings.Count(string(text), `"probability":`)
		var back Evaluation
		if err := json.Unmarshal(text, &back); err != nil {
			t.Errorf("%s: %v", dir, err)
			continue
		}
		if again, err := json.Marshal(back); err != nil || string(again) != string(text) {
			t.Errorf("%s: %v\n%s\ncomes back as\n%s", dir, err, text, again)
		}
	}
	if probabilities == 0 {
		t.Error("no evaluation has a probability")
	}
}

// TestTextStoredEarlierIsShown: verdicts that were stored when findings were text are
// read, and what they say is shown as it was stored.
func TestTextStoredEarlierIsShown(t *testing.T) {
	const stored = `{"outcome":"fit part","measurements":null,"allowed":{},"why":"Made to size: the middle of the window.",
		"choice":{"part":"B","fits":true,"passed_over":""},"judgements":[{"name":"play","value":1,"unit":"mm","allowed":{},"outcome":"conforms","rule":"guard band 95 %"}],
		"findings":[{"code":"disagree","text":"depth: the readings differ by 0.030 mm"}],"decision_rule":"simple acceptance: nothing is taken off","procedure":"p","procedure_hash":"h"}`
	var e Evaluation
	if err := json.Unmarshal([]byte(stored), &e); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		says gauge.Message
		want string
	}{
		{e.Why, "Made to size: the middle of the window."},
		{e.Choice.PassedOver, ""},
		{e.Judgements[0].Rule, "guard band 95 %"},
		{e.Findings[0].Says, "depth: the readings differ by 0.030 mm"},
		{e.DecisionRule, "simple acceptance: nothing is taken off"},
	} {
		if got := inEnglish(c.says); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
