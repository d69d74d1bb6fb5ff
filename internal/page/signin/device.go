package signin

import (
	"net"
	"net/http"
	"strings"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// The names of the cookies. Over TLS a browser takes them under the prefix __Host- from
// this host alone.
const (
	deviceCookie  = "gauged-device"
	sessionCookie = "gauged-session"
	deviceLives   = 365 * 24 * 3600 // s; it is renewed with each session
)

// unpaired leads a device that is not paired to the page where it can be.
func (d *Desk) unpaired(v *visit) {
	if v.r.Method == http.MethodGet && strings.Contains(v.r.Header.Get("Accept"), "text/html") {
		http.Redirect(v.w, v.r, "/pair", http.StatusSeeOther)
		return
	}
	d.refuse(v, "a device that is not paired", gauge.UnknownCaller("refusal.access.not-paired"))
}

func (d *Desk) showPair(w http.ResponseWriter, r *http.Request) {
	d.o.Ask(w, r, http.StatusOK, "pair", Asked{Code: r.FormValue("code")})
}

// pair lets a device in with the code that is shown at the bench.
func (d *Desk) pair(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
	code := r.PostFormValue("code")
	title, err := gauge.Tidied("title", r.PostFormValue("title"))
	if err == nil && title == "" {
		err = gauge.WrongInput("refusal.access.name-missing")
	}
	if err != nil {
		d.o.Ask(w, r, http.StatusUnprocessableEntity, "pair", Asked{Why: err, Code: code})
		return
	}
	by, err := d.use(code, r)
	if err != nil {
		d.o.Ask(w, r, http.StatusUnauthorized, "pair", Asked{Why: err, Code: code, Title: title})
		return
	}
	id, secret := access.NewSecret("device")
	if err := d.o.Guard.Change(r.Context(), access.PairDevice(by, access.Device{ID: id, Title: title, Hash: access.HashOf(secret)})); err != nil {
		d.o.Fail(w, r, err)
		return
	}
	d.setCookie(w, r, deviceCookie, secret, deviceLives)
	http.Redirect(w, r, "/who", http.StatusSeeOther)
}

// use takes a code, from an address that has not tried too many.
func (d *Desk) use(code string, r *http.Request) (by string, err error) {
	now := d.o.Guard.Now()
	from, _, _ := net.SplitHostPort(r.RemoteAddr)
	defer d.keep()
	if wait := d.codes.Begin(from, now); wait > 0 {
		return "", tooMany(wait)
	}
	by, ok := d.o.Pairing.Use(code, now)
	if !ok {
		err := gauge.UnknownCaller("refusal.access.code")
		d.o.Guard.Refused(from, access.Page("POST /pair"), err)
		return "", err
	}
	d.codes.Right(from)
	return by, nil
}

// cookie is the value of a cookie of ours; empty: there is none.
func (d *Desk) cookie(r *http.Request, name string) string {
	c, err := r.Cookie(d.prefix(r) + name)
	if err != nil {
		return ""
	}
	return c.Value
}

func (d *Desk) setCookie(w http.ResponseWriter, r *http.Request, name, value string, age int) {
	http.SetCookie(w, &http.Cookie{
		Name: d.prefix(r) + name, Value: value, Path: "/", MaxAge: age,
		Secure: d.prefix(r) != "", HttpOnly: true, SameSite: http.SameSiteStrictMode,
	})
}

func (d *Desk) prefix(r *http.Request) string {
	if access.Confidential(r) {
		return "__Host-"
	}
	return ""
}
