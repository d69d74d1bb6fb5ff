package devices_test

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// told is a message in English.
func told(m gauge.Message) string { return words.In(words.English).Tell(m) }
