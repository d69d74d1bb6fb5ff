package evaluate

import (
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/uncertainty"
)

// SimpleAcceptance is the decision rule in words.
const SimpleAcceptance = "simple acceptance: a value at a limit is inside; nothing is taken off the limits for the uncertainty of measurement"

// How the rules are called beside a result; a guard band is followed by its
// probability.
const (
	RuleSimple = "simple acceptance"
	RuleGuard  = "guard band"
)

// ruleName is the rule as it stands beside a result.
func (w *work) ruleName(r doubt.Ruling) string {
	if !r.Guard {
		return RuleSimple
	}
	return RuleGuard + " " + w.P.Decide.Required.String()
}

// inWords is the rule in full.
func (w *work) inWords(rule string) string {
	if rule == RuleSimple {
		return SimpleAcceptance
	}
	p := w.P.Decide.Required
	return fmt.Sprintf("guard band (the default of ISO 14253-1): conforms when the probability to be inside the limits is at least %s, does not conform when it is at most %s, else undecided", p, uncertainty.Certain-p)
}

// overall says by which rules an evaluation decides: in full where all results
// have one, else with the results of each. It is empty where nothing has limits.
func (w *work) overall() string {
	var rules []string
	results := map[string][]string{}
	add := func(name, rule string) {
		if rule == "" || slices.Contains(results[rule], name) {
			return
		}
		if !slices.Contains(rules, rule) {
			rules = append(rules, rule)
		}
		results[rule] = append(results[rule], name)
	}
	for _, j := range w.e.Judgements {
		add(j.Name, j.Rule)
	}
	for _, f := range w.e.EachFit() {
		add(procedure.Prefixed(f.Place)+"part", f.Rule)
	}
	if len(rules) == 0 { // nothing is judged yet
		for _, r := range w.results() {
			add(r.name, w.ruleName(w.doubts.Ruling(r.x, r.limits)))
		}
	}
	if len(rules) == 0 {
		return ""
	}
	if len(rules) == 1 {
		return w.inWords(rules[0])
	}
	texts := make([]string, len(rules))
	for i, rule := range rules {
		texts[i] = strings.Join(results[rule], ", ") + " by " + w.inWords(rule)
	}
	return "each result by its own rule; " + strings.Join(texts, "; ")
}
