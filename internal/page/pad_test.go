package page

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// TestOneOrderOfDigits: whatever is typed on a pad of the page, its digits stand in one order, that
// of the pad of a job: a value of a job, of a check, of a study, and a PIN.
func TestOneOrderOfDigits(t *testing.T) {
	order := func(page string) (digits string) {
		for _, key := range regexp.MustCompile(`data-key="(\d)"`).FindAllStringSubmatch(page, -1) {
			digits += key[1]
		}
		return digits
	}
	r := newRig(t)
	r.begin("depth", "micrometer", "height", "micrometer")
	r.post("/gauges/micrometer/check", url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"2"}})
	_, job := r.get("/jobs/1")
	_, check := r.get("/gauges/micrometer/check")
	closed := newClosedRig(t)
	closed.pair()
	_, who := closed.get("/who")
	for name, page := range map[string]string{"a job": job, "a check": check, "who": who} {
		if got := order(page); strings.Replace(got, "0", "", 1) != "789456123" {
			t.Errorf("%s: the digits stand as %q", name, got)
		}
	}
}
