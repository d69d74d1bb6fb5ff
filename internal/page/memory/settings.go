// Package memory is what a device remembers of those who use the page: in which
// language and light they want it, who they are, and with which gauges they follow
// a procedure. Cookies keep it for a year.
package memory

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode"

	"gauged/internal/words"
)

// Settings is how somebody wants the page to be.
type Settings struct {
	Language words.Language
	Light    string // auto, light, dark, or strong for a bright shop
}

// Lights are those that may be chosen.
var Lights = []string{"auto", "light", "dark", "strong"}

// Read reads the settings that a request comes with.
func Read(r *http.Request) Settings {
	s := Settings{Language: words.Preferred(r.Header.Get("Accept-Language")), Light: Lights[0]}
	if c, err := r.Cookie("language"); err == nil && words.Known(c.Value) {
		s.Language = words.Language(c.Value)
	}
	if c, err := r.Cookie("light"); err == nil && slices.Contains(Lights, c.Value) {
		s.Light = c.Value
	}
	return s
}

// cookie is something that the device remembers for a year.
func cookie(name, value string) *http.Cookie {
	return &http.Cookie{Name: name, Value: value, Path: "/", MaxAge: 365 * 24 * 3600, SameSite: http.SameSiteStrictMode, HttpOnly: true}
}

// encoded writes any text as a cookie may have it, and decoded reads it.
func encoded(text string) string { return url.QueryEscape(text) }

func decoded(value string) string {
	text, err := url.QueryUnescape(value)
	if err != nil {
		return ""
	}
	return text
}

// Save keeps the settings that a form has and goes back to where they were made.
func Save(w http.ResponseWriter, r *http.Request) {
	if tag := r.FormValue("language"); words.Known(tag) {
		http.SetCookie(w, cookie("language", tag))
	}
	if light := r.FormValue("light"); slices.Contains(Lights, light) {
		http.SetCookie(w, cookie("light", light))
	}
	http.Redirect(w, r, OwnPath(r.FormValue("at")), http.StatusSeeOther)
}

// OwnPath returns a path of this page, never another place's address.
func OwnPath(path string) string {
	if strings.HasPrefix(path, "/") && !strings.HasPrefix(path, "//") && !strings.ContainsFunc(path, func(c rune) bool { return c == '\\' || unicode.IsControl(c) }) {
		return path
	}
	return "/"
}
