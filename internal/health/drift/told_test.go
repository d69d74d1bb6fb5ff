package drift

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// told is a message in English.
func told(m gauge.Message) string {
	catalogue, err := words.Load()
	if err != nil {
		return err.Error()
	}
	text, err := catalogue.In(words.English).Text(m)
	if err != nil {
		return err.Error()
	}
	return text
}

// allTold are several messages in English.
func allTold(all []gauge.Message) (texts []string) {
	for _, m := range all {
		texts = append(texts, told(m))
	}
	return texts
}
