package page

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"gauged/internal/words"
)

// settings is how somebody wants the page to be. A cookie keeps them on each device.
type settings struct {
	Language words.Language
	Light    string // auto, light, dark, or strong for a bright shop
}

var lights = []string{"auto", "light", "dark", "strong"}

func readSettings(r *http.Request) settings {
	s := settings{Language: preferred(r.Header.Get("Accept-Language")), Light: lights[0]}
	if c, err := r.Cookie("language"); err == nil && known(c.Value) {
		s.Language = words.Language(c.Value)
	}
	if c, err := r.Cookie("light"); err == nil && slices.Contains(lights, c.Value) {
		s.Light = c.Value
	}
	return s
}

func known(tag string) bool {
	for _, l := range words.Languages {
		if string(l.Tag) == tag {
			return true
		}
	}
	return false
}

// preferred returns the first language of an Accept-Language header that the
// catalogue has. Browsers write them in the order of preference.
func preferred(header string) words.Language {
	for part := range strings.SplitSeq(header, ",") {
		tag, _, _ := strings.Cut(part, ";")
		tag, _, _ = strings.Cut(strings.ToLower(strings.TrimSpace(tag)), "-")
		if known(tag) {
			return words.Language(tag)
		}
	}
	return words.Languages[0].Tag
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

// saveSettings keeps the settings for a year and goes back to where they were made.
func (p *Page) saveSettings(w http.ResponseWriter, r *request) error {
	if tag := r.FormValue("language"); known(tag) {
		http.SetCookie(w, cookie("language", tag))
	}
	if light := r.FormValue("light"); slices.Contains(lights, light) {
		http.SetCookie(w, cookie("light", light))
	}
	http.Redirect(w, r.Request, ownPath(r.FormValue("at")), http.StatusSeeOther)
	return nil
}

// ownPath returns a path of this page, never another place's address.
func ownPath(path string) string {
	if strings.HasPrefix(path, "/") && !strings.HasPrefix(path, "//") && !strings.ContainsAny(path, "\\\r\n") {
		return path
	}
	return "/"
}

// technician is who was it last on this device; empty when nobody said.
func (r *request) technician() string {
	c, err := r.Cookie("technician")
	if err != nil {
		return ""
	}
	return decoded(c.Value)
}
