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

// toldOf is what an error tells in English; empty for none.
func toldOf(err error) string {
	if err == nil {
		return ""
	}
	return words.In(words.English).Error(err)
}
