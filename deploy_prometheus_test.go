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
	names := metricNames.FindAllString(expressions(all), -1)
	if len(names) < len(alerts) {
		t.Fatalf("only %d names are found in the expressions", len(names))
	}
	for _, name := range names {
		if !declared[name] {
			t.Errorf("no metric and no rule is called %s", name)
		}
	}
}

// TestAlertsLeadToTheirSection: each alert has a section of the document that says
// what it means and what to do, and leads to it.
func TestAlertsLeadToTheirSection(t *testing.T) {
	document := readFile(t, "docs/metrics.md")
	for _, file := range glob(t, "deploy/prometheus/*.rules.yaml") {
		rules := strings.Split(readFile(t, file), "      - alert: ")[1:]
		if len(rules) == 0 {
			t.Errorf("%s has no alerts", file)
		}
		for _, rule := range rules {
			name, _, _ := strings.Cut(rule, "\n")
			if want := "runbook: docs/metrics.md#" + strings.ToLower(name) + "\n"; !strings.Contains(rule, want) {
				t.Errorf("alert %s lacks its %s", name, want)
			}
			_, section, found := strings.Cut(document, "\n### "+name+"\n")
			section, _, _ = strings.Cut(section, "\n#")
			if !found || !strings.Contains(section, "*Means*") || !strings.Contains(section, "*Do*") {
				t.Errorf("docs/metrics.md has no section on %s that says what it means and what to do", name)
			}
		}
	}
}

// metricNames finds the names of our metrics, of those of the process, and of
// what the rules record.
var metricNames = regexp.MustCompile(`\b([a-z_]+:)?(gauged|process)_[a-z_]+(:[a-z0-9_]+)?`)

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

// declaredMetrics are the names in the sources of the metrics, those that the
// library has for the process, and what the rules record.
func declaredMetrics(t *testing.T) map[string]bool {
	t.Helper()
	declared := map[string]bool{
		"process_resident_memory_bytes": true, "process_open_fds": true, "process_max_fds": true,
		"gauged_history_commit_seconds_bucket": true, // of the histogram
	}
	for _, m := range regexp.MustCompile(`record: (\S+)`).FindAllStringSubmatch(readFile(t, "deploy/prometheus/gauged.rules.yaml"), -1) {
		declared[m[1]] = true
	}
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
