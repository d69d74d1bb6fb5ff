package evaluate

import (
	"cmp"
	"slices"

	"gauged/internal/gauge"
)

// Proved reports whether a result that was measured after fitting was judged.
func (e *Evaluation) Proved() bool {
	return slices.ContainsFunc(e.Judgements, func(g Judgement) bool { return g.After })
}

// Missed says what keeps the fitted parts from being proved: the results that need the
// parts and are not within their limits.
func (e *Evaluation) Missed() gauge.Message {
	var missed []gauge.Arg
	for _, g := range e.Judgements {
		if g.After || !g.Outcome.Missed() {
			continue
		}
		result := gauge.Text("result", cmp.Or(g.Title, g.Name))
		if result.Text == totalOfPlaces {
			result = gauge.WordOf("result", "word", g.Name)
		}
		missed = append(missed, gauge.Nested("", gauge.Say("refusal.round.missed.one", result, gauge.WordOf("outcome", "outcome", g.Outcome))))
	}
	if len(missed) == 0 {
		return gauge.Say("refusal.round.missed")
	}
	return gauge.Say("refusal.round.missed", gauge.List("results", missed...))
}
