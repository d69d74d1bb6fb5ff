package say

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// Part is what goes in, for a sentence: a part's name, or that it is none.
func Part(w words.Words, part string) (string, error) {
	switch part {
	case procedure.NoPart:
		return w.Say("job.none")
	case procedure.AsItIs:
		return w.Say("job.part.nothing")
	case procedure.ToSize:
		return w.Say("job.part.to-size")
	}
	return part, nil
}
