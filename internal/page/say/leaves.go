package say

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Leaves writes a play, or between which ends it lies, as a procedure calls it. What has the
// other sign than the procedure's word, such as a play where a preload is wanted, is written
// with its own word and without a minus sign, which nobody would read as another word.
func Leaves(w words.Words, word procedure.Word, play any, b *procedure.Limits, u gauge.Unit) (string, error) {
	as := LeftWord(word, play, b)
	text, err := Between(w, Called(as, play), as.CalledBetween(b), u)
	if err != nil || as == word {
		return text, err
	}
	named, err := w.Say("word." + string(as))
	return named + " " + text, err
}

// LeftWord is the word for a play, or for all between its ends: that of the procedure, or the
// contrary one where the sign is contrary.
func LeftWord(word procedure.Word, play any, b *procedure.Limits) procedure.Word {
	var low, high gauge.Length
	switch l := play.(type) {
	case gauge.Length:
		low, high = l, l
	case *gauge.Length:
		if l != nil {
			low, high = *l, *l
		}
	}
	if b != nil && b.Min != nil && b.Max != nil {
		low, high = *b.Min, *b.Max
	}
	switch {
	case word == procedure.WordPreload && low > 0:
		return procedure.WordPlay
	case word == procedure.WordPlay && high < 0:
		return procedure.WordPreload
	}
	return word
}
