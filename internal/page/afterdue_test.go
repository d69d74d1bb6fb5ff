package page

import (
	"strings"
	"testing"

	"gauged/internal/health/check"
	"gauged/internal/station"
)

// TestDueHintGoes: what says that a check is due after the job goes on an open page when the
// check is recorded, and is not there when the page is opened again.
func TestDueHintGoes(t *testing.T) {
	const due = "The check of gauge micrometer after the job is due."
	r := newRig(t, func(o *station.Options) {
		o.Plans = map[string]*check.Plan{"micrometer": {AfterEach: true, Masters: []string{"zero"}, Repeats: 1}}
	})
	r.begin("depth", "micrometer", "height", "micrometer")
	for _, shown := range []string{"25.210", "25.212", "23.460"} {
		r.does("enter", []string{"shown", shown, "unit", "mm"})
	}
	r.does("choose", nil)
	r.does("fit", nil)
	r.does("enter", []string{"shown", "0.152", "unit", "mm"})
	r.has("/jobs/1", nil, due)
	events := r.events("/jobs/1/stream")
	r.next(events, region("more", due))
	r.typedCheck("0.000")
	r.next(events, func(e event) bool { return strings.Contains(e.data, `"more"`) && !strings.Contains(e.data, due) })
	r.lacks("/jobs/1", due)
}
