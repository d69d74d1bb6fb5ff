package page

import (
	"net/url"
	"strings"
	"testing"
)

// TestPressedTwiceByTitle: a press that came too soon after the one that finished a measurement is
// told with the title of the next one, in each language, and not with its id.
func TestPressedTwiceByTitle(t *testing.T) {
	r := newRig(t)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-1"}, "technician": {"demo"}, "gauge.depth": {"button"}, "gauge.height": {"button"}})
	for range 3 {
		r.reads("button", "25.400")
	}
	r.await("the notice", func() bool {
		_, body := r.get("/jobs/1")
		return strings.Contains(body, "pressed twice")
	})
	r.has("/jobs/1", nil, "pressed twice: it is not Height of the boss; press again")
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "zweimal gedrückt: er ist nicht Height of the boss; nochmals drücken")
}
