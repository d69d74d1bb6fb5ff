package station

import (
	"errors"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Sentences show times in the zone of who reads them.
func init() { time.Local = time.UTC }

// said is what an error tells, behind the kind of a refusal.
func said(err error) string {
	text := words.In(words.English).Error(err)
	if refused := (*gauge.Refusal)(nil); errors.As(err, &refused) {
		text = refused.Kind.Error() + ": " + text
	}
	return text
}

// told is a message in English.
func told(m gauge.Message) string { return words.In(words.English).Tell(m) }
