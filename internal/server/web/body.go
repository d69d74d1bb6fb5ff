package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"strings"
	"unicode"

	"gauged/internal/gauge"
)

// reading hands requests on, those that take a body with that read ahead.
func (one *route) reading(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if one.bodies[r.Method] {
			if err := one.body(w, r); err != nil {
				refuse(w, r, err)
				return
			}
		}
		next.ServeHTTP(w, r)
	})
}

// body reads the body of a request ahead: one JSON value of at most mostBody, that does
// not say again what stands in the path.
func (one *route) body(w http.ResponseWriter, r *http.Request) error {
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostBody))
	if large := (*http.MaxBytesError)(nil); errors.As(err, &large) {
		return &httpError{http.StatusRequestEntityTooLarge, gauge.Say("refusal.http.too-large", gauge.Count("most", mostBody))}
	}
	if err != nil {
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.broken-off")}
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	if len(body) == 0 {
		return nil
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return &httpError{http.StatusUnsupportedMediaType, gauge.Say("refusal.http.no-json", gauge.Text("type", r.Header.Get("Content-Type")))}
	}
	values := json.NewDecoder(bytes.NewReader(body))
	var first json.RawMessage
	if values.Decode(&first) == nil && values.Decode(&first) != io.EOF {
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.more-values")}
	}
	if name := one.twice(body); name != "" {
		return &httpError{http.StatusBadRequest, gauge.Say("refusal.http.twice", gauge.Text("name", name))}
	}
	return nil
}

// twice is a field of a body that stands in the path as well; empty: none does.
func (one *route) twice(body []byte) string {
	var keys map[string]json.RawMessage
	if json.Unmarshal(body, &keys) != nil {
		return "" // whoever reads the message says so
	}
	for _, field := range one.fields {
		for _, name := range []string{field, camel(field)} {
			if _, ok := keys[name]; ok {
				return name
			}
		}
	}
	return ""
}

// camel is a field's name as the protos' own mapping to JSON writes it.
func camel(field string) string {
	var b strings.Builder
	up := false
	for _, c := range field {
		switch {
		case c == '_':
			up = true
		case up:
			b.WriteRune(unicode.ToUpper(c))
			up = false
		default:
			b.WriteRune(c)
		}
	}
	return b.String()
}
