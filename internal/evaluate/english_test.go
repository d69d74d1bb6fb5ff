package evaluate

import (
	"sync"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

var (
	english = sync.OnceValue(func() words.Words { return in(words.English) })
	german  = sync.OnceValue(func() words.Words { return in(words.German) })
)

func in(l words.Language) words.Words {
	catalogue, err := words.Load()
	if err != nil {
		panic(err)
	}
	return catalogue.In(l)
}

// inEnglish words a message. One that lacks its text, or an argument, ends the tests.
func inEnglish(m gauge.Message) string {
	text, err := english().Text(m)
	if err != nil {
		panic(err)
	}
	return text
}
