package web

import (
	"net/http"
	"regexp"
	"strings"
	"unicode"

	"gauged/internal/gauge"
)

// What the library says of a request that is not as the contract has it, as far as more
// can be said of it than that.
var (
	wrongEnum = regexp.MustCompile(`invalid value for enum (?:type|field ([A-Za-z_]+)): "?([^"]*)"?`)
	wrongWord = regexp.MustCompile(`parsing field "([^"]+)": "([^"]*)" is not a valid value`)
	noField   = regexp.MustCompile(`unknown field "([^"]+)"`)
	wrongTime = regexp.MustCompile(`(?:invalid google\.protobuf\.Timestamp value|parsing time) "?([^" ]+)`)
	wrongKind = regexp.MustCompile(`invalid value for (\w+) field (\w+): (.+)`)
)

// unreadable is that a message, or the query of a request, is not as the contract has it.
func unreadable(why string) error {
	// The library varies the blank behind its name, so that nobody relies on its words.
	why = strings.TrimSpace(strings.TrimPrefix(why, "proto:"))
	said := gauge.Say("refusal.http.unreadable", gauge.Text("why", why))
	if m := noField.FindStringSubmatch(why); m != nil {
		said = gauge.Say("refusal.http.field", gauge.Text("field", m[1]))
	} else if m := wrongTime.FindStringSubmatch(why); m != nil {
		said = gauge.Say("refusal.http.time", gauge.Text("value", m[1]))
	} else if m := wrongEnum.FindStringSubmatch(why); m != nil {
		said = gauge.Say("refusal.http.word", gauge.Text("field", snake(m[1])), gauge.Text("value", m[2]))
	} else if m := wrongWord.FindStringSubmatch(why); m != nil {
		said = gauge.Say("refusal.http.word", gauge.Text("field", m[1]), gauge.Text("value", m[2]))
	} else if m := wrongKind.FindStringSubmatch(why); m != nil {
		said = gauge.Say("refusal.http.kind", gauge.Text("field", snake(m[2])), gauge.Text("wanted", m[1]), gauge.Text("value", m[3]))
	}
	return &httpError{http.StatusBadRequest, said}
}

// snake is a field's name as the contract has it.
func snake(field string) string {
	var b strings.Builder
	for _, c := range field {
		if unicode.IsUpper(c) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}
