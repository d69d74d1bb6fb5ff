package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"gauged/internal/access"
)

// Who is not signed in looks at one page, or does one thing, with a PIN: whoever is signed in
// on the device stays, and the head says so on every page.
func TestPINForOnePage(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	r.add("P. Reader", access.RoleReader, "1111", "")
	here := func(body string) string {
		_, rest, _ := strings.Cut(body, `id="here"`)
		_, rest, _ = strings.Cut(rest, ">")
		name, _, _ := strings.Cut(rest, "<")
		return name
	}
	if _, body := r.get("/"); here(body) != "Nobody is signed in" {
		t.Errorf("the head says of nobody: %q", here(body))
	}
	r.send("/who", as("P. Reader", "1111", nil))
	const only = "/procedures/ring/edit" // a reader may not
	status, body := r.get(only)
	if status != http.StatusUnauthorized || !strings.Contains(body, `name="look" value="`+only+`"`) {
		t.Fatalf("the reader is answered with %d:\n%s", status, body)
	}
	if status, _, body = r.send("/who", as("K. Weber", "0816", url.Values{"look": {only}})); status != http.StatusUnauthorized || !strings.Contains(body, `name="look" value="`+only+`"`) {
		t.Errorf("a wrong PIN is answered with %d:\n%s", status, body)
	}
	if status, _, body = r.send("/who", as("K. Weber", "0815", url.Values{"look": {only}})); status != http.StatusOK || !strings.Contains(body, "<textarea") {
		t.Errorf("the lead's PIN for one page is answered with %d:\n%s", status, body)
	}
	if here(body) != "P. Reader" {
		t.Errorf("the page that the lead looks at names %q", here(body))
	}
	if status, body = r.get(only); status != http.StatusUnauthorized || here(body) != "P. Reader" {
		t.Errorf("the same page once more is answered with %d, to %q", status, here(body))
	}
	if status, _, _ = r.send("/who", as("P. Reader", "1111", url.Values{"look": {only}})); status != http.StatusUnauthorized {
		t.Errorf("the reader's own PIN is answered with %d", status)
	}
	if status, _, _ = r.send("/jobs", as("A. Turner", "4711", begin)); status != http.StatusSeeOther {
		t.Errorf("a technician's PIN for one act is answered with %d", status)
	}
	if _, body = r.get("/"); here(body) != "P. Reader" {
		t.Errorf("after one act of somebody else %q is signed in", here(body))
	}
	r.send("/who", as("A. Turner", "4711", nil))
	if _, body = r.get("/"); here(body) != "A. Turner" {
		t.Errorf("who changes the person is %q", here(body))
	}
}

// With nobody signed in the key that signs names nobody, and neither does the question.
func TestSignKeyNamesNobody(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	r.send("/who", as("A. Turner", "4711", nil))
	r.decidedJob()
	r.send("/leave", nil)
	signer := func() string {
		_, body := r.get("/jobs/1")
		_, rest, _ := strings.Cut(body, `<div class="last">`)
		bar, _, _ := strings.Cut(rest, "</form>")
		_, name, _ := strings.Cut(bar, `<small class="by">`)
		name, _, _ = strings.Cut(name, "</small>")
		if !strings.Contains(bar, `class="key">Sign and close</button>`) {
			t.Errorf("the bar reads %s", bar)
		}
		return name
	}
	if signer() != "" {
		t.Errorf("with nobody signed in %q signs", signer())
	}
	_, _, body := r.send("/jobs/1/sign", r.form())
	if !strings.Contains(body, "<dd>nobody</dd>") {
		t.Errorf("the question does not say that nobody is signed in:\n%s", body)
	}
	r.send("/who", as("A. Turner", "4711", nil))
	if signer() != "as A. Turner" {
		t.Errorf("A. Turner signs %q", signer())
	}
}
