package show

import (
	"strings"

	"gauged/internal/words"
)

// Say is a text of the catalogue with what is filled in. A test reads the key and the
// count of every call.
func Say(key string, args ...any) string {
	text, err := english().Say(key, args...)
	if err != nil {
		panic(err)
	}
	return text
}

// Named is the text of a value of a closed list, such as an outcome. One that only a newer
// daemon knows is shown by its name.
func Named(list, value string) string {
	if key := list + "." + words.Key(value); english().Has(key) {
		return Say(key)
	}
	return value
}

// Small is a text that goes on in a sentence: without its capital and its full stop.
func Small(text string) string {
	return strings.ToLower(text[:1]) + strings.TrimSuffix(text[1:], ".")
}

// Capital begins a sentence with a text.
func Capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
