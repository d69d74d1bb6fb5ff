package page

import (
	"fmt"
	"net/http"
	"strings"
	"testing"

	"gauged/internal/access"
)

// Who has a PIN of their own does not guess at badges any faster for it, on one device or,
// with several, on all.
func TestOwnPINFreesNoGuesses(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	judged := 0
	for i := range 20 {
		for k := range 2 {
			if _, _, body := r.send("/who", as("", fmt.Sprintf("badge-%03d", 2*i+k), nil)); strings.Contains(body, "not right") {
				judged++
			}
		}
		r.send("/who", as("A. Turner", "4711", nil))
	}
	if judged > 5 {
		t.Errorf("%d of 40 guessed badges were looked at", judged)
	}
}

// The same with a badge of one's own, which names nobody either.
func TestOwnBadgeFreesNoGuesses(t *testing.T) {
	r := newClosedRig(t)
	judged := 0
	for i := range 8 {
		r.pair() // another device
		for k := range 2 {
			if _, _, body := r.send("/who", as("", fmt.Sprintf("badge-%03d", 2*i+k), nil)); strings.Contains(body, "not right") {
				judged++
			}
		}
		r.send("/who", as("", "badge-77", nil))
	}
	if judged > 12 {
		t.Errorf("on eight devices %d of 16 guessed badges were looked at", judged)
	}
}

// A slip of one's own costs nobody anything once one is right.
func TestOwnSlipsAreTakenBack(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	for range 4 {
		for _, secret := range []string{"4712", "4713", "4711"} {
			if status, _, body := r.send("/who", as("A. Turner", secret, nil)); strings.Contains(body, "too many wrong tries") || (status == http.StatusSeeOther) != (secret == "4711") {
				t.Fatalf("%s is answered with %d", secret, status)
			}
		}
	}
}

// Where a person is chosen it is that person's badge.
func TestBadgeIsThePersonsWhoIsChosen(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	if status, _, body := r.send("/who", as("A. Turner", "badge-77", nil)); status != http.StatusUnauthorized || !strings.Contains(body, "not right") {
		t.Errorf("K. Weber's badge as A. Turner's is answered with %d", status)
	}
	for _, name := range []string{"K. Weber", ""} {
		if status, _, _ := r.send("/who", as(name, "badge-77", nil)); status != http.StatusSeeOther {
			t.Errorf("K. Weber's badge as %q is answered with %d", name, status)
		}
	}
	if _, body := r.get("/who"); !strings.Contains(body, `<input type="radio" name="person" value="" checked>`) {
		t.Error("a badge cannot be held to the reader before a name is chosen")
	}
}

// A badge that is given out now is long enough not to be guessed.
func TestShortBadges(t *testing.T) {
	var r access.Register
	if _, err := r.HashBadge("badge-7"); err == nil {
		t.Error("seven characters are taken for a badge")
	}
}
