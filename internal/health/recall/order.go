package recall

import (
	"cmp"
	"slices"

	"gauged/internal/uncertainty"
)

// Change is what a correction did to a verdict.
type Change int

// The changes, the gravest first.
const (
	// Flipped: it no longer conforms, be it that it did or was undecided; or
	// it conforms now and was said not to.
	Flipped Change = iota
	// Doubtful: it was decided and is undecided now.
	Doubtful
	// Kept: as before; or it was undecided and conforms now.
	Kept
)

// String is the change in a word.
func (c Change) String() string { return [...]string{"flipped", "doubtful", "kept"}[c] }

// Change says what became of the verdict.
func (r Result) Change() Change {
	switch {
	case r.After == r.Before, r.Before == uncertainty.Undecided && r.After == uncertainty.Conforms:
		return Kept
	case r.After == uncertainty.Undecided:
		return Doubtful
	}
	return Flipped
}

// Order puts the results in which a unit may have to come back first: flipped
// verdicts, then those newly undecided, then the rest; within each the least
// probable to conform first, and of equals the lower number.
func Order(results []Result) {
	slices.SortFunc(results, func(a, b Result) int {
		return cmp.Or(
			cmp.Compare(a.Change(), b.Change()),
			cmp.Compare(a.ProbabilityAfter, b.ProbabilityAfter),
			cmp.Compare(a.Number, b.Number),
		)
	})
}
