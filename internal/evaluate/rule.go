package evaluate

import (
	"slices"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// ruleSimple is simple acceptance as it stands beside a result.
var ruleSimple = gauge.Say("rule.simple")

// ruleName is the rule as it stands beside a result.
func (w *work) ruleName(r doubt.Ruling) gauge.Message {
	if !r.Guard {
		return ruleSimple
	}
	return gauge.Say("rule.guard", procedure.Chance("level", w.P.Decide.Required))
}

// inFull is what a rule means.
func (w *work) inFull(rule gauge.Message) gauge.Message {
	if rule.Equal(ruleSimple) {
		return gauge.Say("rule.simple.full")
	}
	p := w.P.Decide.Required
	return gauge.Say("rule.guard.full", procedure.Chance("level", p), procedure.Chance("rest", uncertainty.Certain-p))
}

// ruled are results that have the same rule.
type ruled struct {
	rule    gauge.Message
	results []string
}

// overall says by which rules an evaluation decides: in full where all results
// have one, else with the results of each. There is none where nothing has limits.
func (w *work) overall() gauge.Message {
	var rules []*ruled
	add := func(name string, rule gauge.Message) {
		if rule.IsZero() {
			return
		}
		i := slices.IndexFunc(rules, func(r *ruled) bool { return r.rule.Equal(rule) })
		if i < 0 {
			i = len(rules)
			rules = append(rules, &ruled{rule: rule})
		}
		if !slices.Contains(rules[i].results, name) {
			rules[i].results = append(rules[i].results, name)
		}
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
	switch len(rules) {
	case 0:
		return gauge.Message{}
	case 1:
		return w.inFull(rules[0].rule)
	}
	each := make([]gauge.Message, len(rules))
	for i, r := range rules {
		each[i] = gauge.Say("rule.of", gauge.Texts("results", r.results), gauge.Nested("rule", r.rule), gauge.Nested("full", w.inFull(r.rule)))
	}
	return gauge.Say("rule.each", gauge.Nested("rules", gauge.Sentences(each...)))
}
