package gauge

import (
	"strings"
	"unicode"
)

// LongestText is how many bytes a text may have that somebody gives: a name, a reason, a
// remark.
const LongestText = 4096

// Tidied takes the blanks from both ends of a text that somebody gives in a field, and
// refuses one that is too long or has a control character in it.
func Tidied(field, text string) (string, error) {
	text = strings.TrimSpace(text)
	if n := len(text); n > LongestText {
		return "", TooLong(field, n, LongestText)
	}
	for i, c := range []rune(text) {
		if unicode.IsControl(c) {
			return "", WrongInput("refusal.request.control", Text("field", field), Count("at", i+1))
		}
	}
	return text, nil
}

// TooLong is that a field has more bytes than it may have.
func TooLong(field string, size, most int) error {
	return WrongInput("refusal.request.too-long", Text("field", field), Count("size", size), Count("most", most))
}
