package say

import (
	"gauged/internal/evaluate"
	"gauged/internal/words"
)

// Foretold says all that is foretold of a part, and what is wrong with it.
func Foretold(w words.Words, t evaluate.Foretold) (string, error) {
	text := w.Tell(t.Says)
	for _, f := range t.Warnings {
		if f.Code == evaluate.FindingOtherPart || f.Code == evaluate.FindingPrediction {
			continue // said already
		}
		title, err := w.Say("finding." + string(f.Code))
		if err != nil {
			return "", err
		}
		text += " " + title + ": " + w.Tell(f.Says)
	}
	return text, nil
}
