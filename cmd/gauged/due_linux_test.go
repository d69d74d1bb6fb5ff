package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"gauged/internal/cli"
)

// TestPageAndCommandCountTheSame: the page of the gauges and gaugectl status name as many checks
// and calibrations that are due, and the page has a line for each and for what falls due this week.
func TestPageAndCommandCountTheSame(t *testing.T) {
	page := freeAddress(t)
	day := func(days int) string { return time.Now().AddDate(0, 0, days).Format(time.DateOnly) }
	tr := newTrial(t, fmt.Sprintf(`listen: {grpc: unix://s, page: "%s"}
PROCEDURES
masters:
  worn: {title: Old block, unit: mm, value: 10, due: %s}
  soon: {title: Gauge block 25 mm, unit: mm, value: 25, due: %s}
  later: {unit: mm, value: 50, due: %s}
gauges:
  never: {typed: yes, unit: mm, resolution: 0.001}
  away: {typed: yes, unit: mm, resolution: 0.001}
  retired: {typed: yes, unit: mm, resolution: 0.001}
  free: {typed: yes, unit: mm, resolution: 0.001}
checks:
  never: {every_days: 30, at: [soon]}
  away: {every_days: 30, at: [soon]}
  retired: {every_days: 30, at: [soon]}
`, page, day(-3), day(4), day(40)))
	tr.start()
	gaugectl := func(args ...string) string {
		var out strings.Builder
		cli.Run(t.Context(), append([]string{"--address", "unix://" + tr.path("s")}, args...), strings.NewReader(""), &out, &out, noEnv)
		return out.String()
	}
	gaugectl("master", "standing", "away", "out-for-calibration", "--by", "q", "--reason", "yearly")
	gaugectl("master", "standing", "retired", "retired", "--by", "q", "--reason", "worn")
	status, body := gaugectl("status"), get(t, "http://"+page+"/gauges")
	due := strings.Count(status, "a check is due") + strings.Count(status, "calibration was due")
	if said := regexp.MustCompile(`Checks and calibrations due: (\d+)`).FindStringSubmatch(body); due != 2 || said == nil || said[1] != fmt.Sprint(due) {
		t.Errorf("the page says %q, the command has %d\n%s", said, due, status)
	}
	for _, want := range []string{">Old block<", ">Gauge block 25 mm<", ">never<"} {
		if !strings.Contains(body[:strings.Index(body, `id="list"`)], want) {
			t.Errorf("%s is not among what is to be done", want)
		}
	}
}
