package gauged_test

import (
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestPrometheusRules: the rules and their cases pass with Prometheus' own tool,
// every alert has a case that raises it, and every metric that is used exists.
func TestPrometheusRules(t *testing.T) {
	rules := glob(t, "deploy/prometheus/*.rules.yaml")
	tests := glob(t, "deploy/prometheus/*.test.yaml")
	for _, args := range [][]string{append([]string{"check", "rules"}, rules...), append([]string{"test", "rules"}, tests...)} {
		if out, err := exec.Command("promtool", args...).CombinedOutput(); err != nil {
			t.Fatalf("promtool %s: %v (Debian's package prometheus has it)\n%s", strings.Join(args, " "), err, out)
		}
	}
	var all, cases string
	for _, file := range rules {
		all += readFile(t, file)
	}
	for _, file := range tests {
		cases += readFile(t, file)
	}
	alerts := regexp.MustCompile(`(?m)^\s+- alert: (\w+)$`).FindAllStringSubmatch(all, -1)
	if len(alerts) < 10 {
		t.Fatalf("%d alerts", len(alerts))
	}
	for _, alert := range alerts {
		raised := regexp.MustCompile(`alertname: ` + alert[1] + `\n\s+exp_alerts:\n`)
		calm := regexp.MustCompile(`alertname: ` + alert[1] + `, exp_alerts: \[\]`)
		if !raised.MatchString(cases) || !calm.MatchString(cases) {
			t.Errorf("alert %s has no case in which it is raised, or none in which it is not", alert[1])
		}
	}
	declared := declaredMetrics(t)
	recorded := regexp.MustCompile(`record: (\S+)`)
	for _, m := range recorded.FindAllStringSubmatch(all, -1) {
		declared[m[1]] = true
	}
	for _, name := range regexp.MustCompile(`[a-z_:]*\bgauged_[a-z_]+(:[a-z0-9_]+)?|gauge[a-z_]*:gauged_[a-z_]+:[a-z0-9_]+`).FindAllString(expressions(all), -1) {
		if !declared[name] {
			t.Errorf("no metric and no rule is called %s", name)
		}
	}
}

// expressions leaves out remarks and texts.
func expressions(rules string) string {
	var kept []string
	in := false
	for line := range strings.Lines(rules) {
		trimmed := strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(trimmed, "expr:"):
			in = true
		case strings.HasPrefix(trimmed, "- ") || strings.HasPrefix(trimmed, "labels:") || strings.HasPrefix(trimmed, "annotations:") || strings.HasPrefix(trimmed, "for:") || strings.HasPrefix(trimmed, "#"):
			in = false
		}
		if in {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "")
}

// declaredMetrics are the names in the sources of the metrics.
func declaredMetrics(t *testing.T) map[string]bool {
	t.Helper()
	declared := map[string]bool{}
	for _, file := range glob(t, "internal/server/metrics/*.go") {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		for _, m := range regexp.MustCompile(`desc\("([a-z_]+)"`).FindAllStringSubmatch(readFile(t, file), -1) {
			declared["gauged_"+m[1]] = true
		}
		for _, m := range regexp.MustCompile(`Name:\s+"([a-z_]+)"`).FindAllStringSubmatch(readFile(t, file), -1) {
			declared["gauged_"+strings.TrimPrefix(m[1], "gauged_")] = true
		}
	}
	if len(declared) < 20 {
		t.Fatalf("%d metrics are found in %s", len(declared), filepath.Join("internal", "server", "metrics"))
	}
	return declared
}

// TestMetricsDocument: the document names every metric of the gauges and jobs.
func TestMetricsDocument(t *testing.T) {
	text := readFile(t, "docs/metrics.md")
	for _, file := range []string{"internal/server/metrics/metrics.go", "internal/server/metrics/health.go"} {
		for _, m := range regexp.MustCompile(`desc\("([a-z_]+)"`).FindAllStringSubmatch(readFile(t, file), -1) {
			if !strings.Contains(text, "`gauged_"+m[1]+"`") {
				t.Errorf("docs/metrics.md does not name gauged_%s", m[1])
			}
		}
	}
}
