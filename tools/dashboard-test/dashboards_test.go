// Package dashboardtest asks a real Prometheus, which scrapes real daemons on
// simulated gauges, for every expression of the dashboards and of the rules.
package dashboardtest

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	pb "gauged/api/gauged/v1"
	"gauged/internal/simulate"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// emptyWhenWell are the expressions that rightly give nothing while the stations
// run, with the state of TestEveryExpression in which they give something, or
// with the case in deploy/prometheus that shows it.
var emptyWhenWell = map[string]string{
	"alert StationDown":          stationDown,
	"alert EvaluatorLinkDown":    stationDown,
	"alert GaugeNotLive":         linesInTrouble,
	"alert GaugeFramesRejected":  linesInTrouble,
	"alert GaugeSign":            "case: signs of a fault",
	"alert MasterOverdue":        "case: masters and their own calibration",
	"alert HistoryCommitFails":   "case: commits of the history",
	"alert StoredFactsDamaged":   "case: stored facts that are damaged",
	"alert HistoryCommitSlow":    "case: a disk that stalls",
	"alert DescriptorsNearLimit": "case: descriptors that run out",
	"alert ExitBehind":           "case: exits that are behind",
	"alert ExitGaveUp":           "case: events that were given up",
	"alert ExitPaused":           "case: an exit that was forgotten",
}

// The states in which expressions are asked for.
const (
	atWork         = "at work" // with a gauge that drifts, and others that want something
	stationDown    = "station down"
	linesInTrouble = "lines in trouble" // a gauge is unplugged, another sends noise
)

// TestEveryExpression: one gauge of a busy station drifts and its alert is raised;
// every expression of the dashboards and of the rules gives something.
func TestEveryExpression(t *testing.T) {
	dir := t.TempDir()
	program := buildDaemon(t, dir)
	bench := plugIn(t, dir)
	site, other := newStation(t, dir, "site", program), newStation(t, dir, "bench", program)
	m := newMonitor(t, dir, site.metrics, other.metrics)
	site.work(t, bench, other)
	await(t, "both stations were scraped", func() bool {
		return m.holds(`count(gauged_build_info) == 2`) && m.holds(`gauged_error_meters{gauge="dial"} > 0`)
	})
	all := expressions(t, m)

	site.stop()
	m.gives(t, in(all, stationDown), stationDown)

	site.start() // from here on what the jobs say of the gauges is known
	await(t, "the station is scraped again and linked again", func() bool {
		return m.holds(`sum(up) == 2`) && m.holds(`gauged_evaluator_connected == 1`) &&
			m.holds(`gauged_connection_state{gauge="never", state="live"} == 1`)
	})
	m.gives(t, in(all, atWork), atWork)
	await(t, "the alert for the drifting gauge is raised", func() bool { return m.fires("GaugeErrorBeyondLimit", "dial") })
	for _, e := range all {
		if emptyWhenWell[e.name] != "" && m.holds(e.expr) {
			t.Errorf("%s is listed as empty while the stations run, and is not: %s", e.name, e.expr)
		}
	}
	for _, r := range m.rules() {
		if r.Health != "ok" {
			t.Errorf("rule %s is %s: %s", r.Name, r.Health, r.LastError)
		}
	}

	h := &hands{bench, t, site}
	h.do("unplug never")
	for range 20 {
		h.do("send soon 2323232323232323230d0a")
	}
	m.gives(t, in(all, linesInTrouble), linesInTrouble)
	m.legendsShow(t, all)
	m.namesWhatExists(t, all)
}

// in selects the expressions that give something in a state.
func in(all []expression, state string) []expression {
	var some []expression
	for _, e := range all {
		if when := emptyWhenWell[e.name]; when == state || when == "" && state == atWork {
			some = append(some, e)
		}
	}
	return some
}

// gives waits until Prometheus answers each expression with something.
func (m *monitor) gives(t *testing.T, wanted []expression, state string) {
	t.Helper()
	if len(wanted) == 0 {
		t.Fatalf("%s: nothing is asked for", state)
	}
	began := time.Now()
	for missing := wanted; ; time.Sleep(50 * time.Millisecond) {
		var still []expression
		for _, e := range missing {
			if !m.holds(e.expr) {
				still = append(still, e)
			}
		}
		if missing = still; len(missing) == 0 {
			t.Logf("%s: %d expressions after %s", state, len(wanted), time.Since(began).Round(time.Millisecond))
			return
		}
		if time.Since(began) > within/2 {
			for _, e := range missing {
				t.Errorf("%s: %s gives nothing: %s", state, e.name, e.expr)
			}
			return
		}
	}
}

// work makes the checks and jobs that give every metric something to show.
func (s *station) work(t *testing.T, b *simulate.Bench, other *station) {
	h := &hands{b, t, s}
	for _, gauge := range []string{"dial", "depth", "soon", "never", "away"} {
		h.live(gauge)
	}
	(&hands{b, t, other}).live("far")
	h.putAway("away")
	if got := h.check("soon", 0, 1); got != pb.CheckVerdict_CHECK_VERDICT_PASS {
		t.Fatalf("soon: %s", got)
	}
	if got := h.check("depth", 5, 6); got != pb.CheckVerdict_CHECK_VERDICT_UNDECIDED {
		t.Fatalf("depth: %s", got)
	}
	h.past("dial", 0, 1, 2, 1, 3, 4, 3, 5, 5, 6) // checks of one day are one point of the trend
	for i := range 10 {                          // the baseline of the charts
		h.check("dial", i%3)
	}
	for i := range 6 { // from the second job on it drifts
		h.job(fmt.Sprintf("A-%d", i+1), "depth", "dial", 2640+2*i, 10*i)
	}
	for i := range 4 {
		h.check("dial", 10*(i+1))
	}
	(&hands{b, t, other}).reads("far", 9_876)
}

// TestCasesOfEmptyExpressions: the cases that stand in for a state are there.
func TestCasesOfEmptyExpressions(t *testing.T) {
	var content string
	for _, file := range []string{"gauged.rules.test.yaml", "gauged.days.test.yaml"} {
		cases, err := os.ReadFile("../../deploy/prometheus/" + file)
		if err != nil {
			t.Fatal(err)
		}
		content += string(cases)
	}
	for name, when := range emptyWhenWell {
		title, isCase := strings.CutPrefix(when, "case: ")
		if !isCase {
			continue
		}
		_, body, found := strings.Cut(content, "  - name: "+title+"\n")
		body, _, _ = strings.Cut(body, "\n  - name: ")
		if raised := "alertname: " + strings.TrimPrefix(name, "alert ") + "\n        exp_alerts:\n"; !found || !strings.Contains(body, raised) {
			t.Errorf("no case %q raises %s", title, name)
		}
	}
}
