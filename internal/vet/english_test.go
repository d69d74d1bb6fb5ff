package vet

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// told words messages in English.
func told(all []gauge.Message) (texts []string) {
	for _, m := range all {
		texts = append(texts, words.In(words.English).Tell(m))
	}
	return texts
}
