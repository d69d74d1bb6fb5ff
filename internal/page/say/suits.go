package say

import (
	"gauged/internal/page/place"
	"gauged/internal/words"
)

// Suits says whether a part is right at its place, and why it is not.
func Suits(w words.Words, o place.Opinion) (string, error) {
	text, err := w.Say(o.Key)
	if err != nil || o.Why.IsZero() {
		return text, err
	}
	return text + ": " + w.Tell(o.Why), nil
}
