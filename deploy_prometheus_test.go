package gauged_test

import (
	"encoding/json"
	"fmt"
	"os"
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

// TestDashboards: every expression of the dashboards parses, and names what exists.
func TestDashboards(t *testing.T) {
	known := declaredMetrics(t)
	for _, m := range regexp.MustCompile(`record: (\S+)`).FindAllStringSubmatch(readFile(t, "deploy/prometheus/gauged.rules.yaml"), -1) {
		known[m[1]] = true
	}
	for _, file := range glob(t, "deploy/grafana/*.json") {
		var board struct {
			Panels []struct {
				Title, Description string
				Targets            []struct{ Expr string }
			}
		}
		if err := json.Unmarshal([]byte(readFile(t, file)), &board); err != nil || len(board.Panels) == 0 {
			t.Fatalf("%s: %d panels, %v", file, len(board.Panels), err)
		}
		var rules strings.Builder
		rules.WriteString("groups:\n  - name: board\n    rules:\n")
		for i, p := range board.Panels {
			if p.Title == "" || p.Description == "" || len(p.Targets) == 0 {
				t.Errorf("%s: panel %d has no title, no description or no expression", file, i+1)
			}
			for _, target := range p.Targets {
				fmt.Fprintf(&rules, "      - {record: \"panel:%d\", expr: %q}\n", i, target.Expr)
				name := regexp.MustCompile(`^[a-z_:0-9]+`).FindString(target.Expr)
				if !known[name] {
					t.Errorf("%s: panel %q: no metric and no rule is called %q", file, p.Title, name)
				}
			}
		}
		path := filepath.Join(t.TempDir(), "board.yaml")
		if err := os.WriteFile(path, []byte(rules.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("promtool", "check", "rules", path).CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", file, err, out)
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
