package vet

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// told words a message in English, in which the problems of files are told.
func told(m gauge.Message) string { return words.In(words.English).Tell(m) }
