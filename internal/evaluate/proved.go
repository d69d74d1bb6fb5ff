package evaluate

import (
	"cmp"
	"slices"
	"strings"
)

// Proved reports whether a result that was measured after fitting was judged.
func (e *Evaluation) Proved() bool {
	return slices.ContainsFunc(e.Judgements, func(g Judgement) bool { return g.After })
}

// Missed says what keeps the fitted parts from being proved: the results that need the
// parts and are not within their limits.
func (e *Evaluation) Missed() string {
	var missed []string
	for _, g := range e.Judgements {
		if !g.After && (g.Outcome == DoesNotConform || g.Outcome == Undecided) {
			missed = append(missed, cmp.Or(g.Title, g.Name)+" "+string(g.Outcome))
		}
	}
	return strings.Join(append(missed, "fit other parts, or measure those that are in, then prove them"), "; ")
}
