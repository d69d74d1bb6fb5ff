package page

import (
	"net/http"
	"strings"
	"testing"
)

// TestRecall: the job conforms with a play of 0.150; its depth gauge, which showed
// 0.060 too much, measured before fitting, and the typed play stands.
func TestRecall(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	r.has("/gauges/button/recall", nil, "Recall: what gauge button did")
	r.has("/gauges/button/recall?go=1&error=0.060&unit=mm", nil, "1 jobs were measured with it", "0.060 mm", "All jobs were looked at.", `<a href="/jobs/1/sheet">1</a>`, "U &lt;7&gt;")
	status, table := r.get("/gauges/button/recall.csv?go=1&error=0,060&unit=mm", "Accept-Language", "de")
	if lines := strings.Split(strings.TrimSpace(table), "\n"); status != http.StatusOK || len(lines) != 2 || !strings.HasPrefix(lines[1], "1,U <7>,") || !strings.Contains(lines[1], ",0.15,") {
		t.Errorf("%d %q", status, lines)
	}
	for query, want := range map[string]string{
		"go=1":                         "never checked against a master",
		"go=1&error=0.1&unit=degC":     "is a unit of",
		"go=1&error=1e3&unit=mm":       "not a length",
		"go=1&error=1&unit=mm&since=x": "is no day such as",
	} {
		if status, body := r.get("/gauges/button/recall?" + query); status != http.StatusUnprocessableEntity || !strings.Contains(body, want) {
			t.Errorf("%s: %d %s", query, status, body)
		}
	}
}
