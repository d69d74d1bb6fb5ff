package gauge

import (
	"errors"
	"strings"
)

// Tell gives what is wrong with the number.
func (e *NumberError) Tell() Message {
	text, kind := Typed("text", e.Text), Word("kind", KindLength.Word())
	if e.Kind != KindNone {
		kind = Word("kind", e.Kind.Word())
	}
	length := e.Kind == KindNone || e.Kind == KindLength
	_, decimals, _ := strings.Cut(e.Text, ".")
	switch fine := errors.Is(e.Err, ErrTooFine); {
	case fine && len(decimals) > mostDecimals && e.Kind == KindLength:
		return Say("refusal.number.decimals-of-length", text, Count("decimals", len(decimals)))
	case fine && len(decimals) > mostDecimals:
		return Say("refusal.number.decimals", text, Count("decimals", len(decimals)), kind)
	case fine && length:
		return Say("refusal.number.too-fine", text, kind)
	case fine:
		return Say("refusal.number.nine-decimals", text, kind)
	case errors.Is(e.Err, ErrTooLarge) && length:
		return Say("refusal.number.too-large", text, kind)
	case errors.Is(e.Err, ErrTooLarge):
		return Say("refusal.number.over-a-million", text, kind)
	case errors.Is(e.Err, ErrEmpty):
		return Say("refusal.number.empty", text, kind)
	case errors.Is(e.Err, ErrComma) && strings.Contains(e.Text, "."):
		return Say("refusal.number.both-signs", text, kind)
	case errors.Is(e.Err, ErrComma):
		return Say("refusal.number.comma", text, kind)
	case errors.Is(e.Err, ErrNoUnit):
		return Say("refusal.number.no-unit", text, kind)
	}
	return Say("refusal.number.not-decimal", text, kind)
}

// worded is an error that a reader of files says in its own text, with its place, and
// that tells a message besides.
type worded struct {
	text    string
	message Message
}

func (e *worded) Error() string { return e.text }
func (e *worded) Tell() Message { return e.message }

// Worded is an error that a reader of files says in a text of its own, in English, and
// that tells a person the message.
func Worded(text string, m Message) error { return &worded{text, m} }
