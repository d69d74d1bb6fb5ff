package page

import (
	"strings"
	"testing"
)

// Each form of a job that wants a reason has keys with the usual ones.
func TestUsualReasons(t *testing.T) {
	r := newRig(t)
	r.begin("depth", "button")
	in := func(id string) string {
		_, body := r.get("/jobs/1", "Accept-Language", "de")
		_, form, found := strings.Cut(body, `id="`+id+`"`)
		if !found {
			t.Errorf("there is no form %s", id)
		}
		form, _, _ = strings.Cut(form, "</form>")
		return form
	}
	for form, reason := range map[string]string{"set-aside": "Schichtende", "put-right": "vertippt", "other-gauge": "Batterie leer", "close-unfinished": "Bestellung storniert"} {
		if want := `<button type="button" data-reason>` + reason + `</button>`; !strings.Contains(in(form), want) {
			t.Errorf("%s lacks the key %s", form, reason)
		}
	}
	// The gauge that the job has is the one that is proposed, though its button serves a job: this one.
	if form := in("other-gauge"); !strings.Contains(form, `<option value="button" selected>`) {
		t.Errorf("the gauge of the step is not proposed:\n%s", form)
	}
	for _, shown := range []string{"25.200", "25.202", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	if want := `data-reason>nicht auf Lager</button>`; !strings.Contains(in("other"), want) {
		t.Errorf("another part has no key with a reason")
	}
}
