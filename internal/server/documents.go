package server

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// sheetIn are the words of a sheet in a language, English where none is asked for.
func sheetIn(language string) (words.Words, error) {
	if language != "" && !words.Known(language) {
		return words.Words{}, gauge.WrongInput("refusal.document.language", gauge.Text("language", language), gauge.Texts("known", tags()))
	}
	catalogue, err := words.Load()
	if err != nil {
		return words.Words{}, err
	}
	if language == "" {
		return catalogue.In(words.Languages[0].Tag), nil
	}
	return catalogue.In(words.Language(language)), nil
}

// tags are the languages of sheets.
func tags() (all []string) {
	for _, l := range words.Languages {
		all = append(all, string(l.Tag))
	}
	return all
}
