package gauged_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// dashboard is what these tests read of a dashboard.
type dashboard struct {
	Title, Description string
	Panels             []panel
}

type panel struct {
	ID                       int
	Type, Title, Description string
	GridPos                  struct{ X, Y, W, H int }
	Targets                  []struct{ Expr string }
	FieldConfig              struct {
		Defaults struct {
			Unit       string
			Thresholds struct {
				Steps []struct {
					Color string
					Value *float64
				}
			}
			Mappings []struct {
				Options map[string]struct{ Color string }
			}
		}
	}
}

func dashboards(t *testing.T) map[string]dashboard {
	t.Helper()
	boards := map[string]dashboard{}
	for _, file := range glob(t, "deploy/grafana/*.json") {
		var b dashboard
		if err := json.Unmarshal([]byte(readFile(t, file)), &b); err != nil || len(b.Panels) == 0 || b.Title == "" || b.Description == "" {
			t.Fatalf("%s: %d panels, %v", file, len(b.Panels), err)
		}
		boards[file] = b
	}
	if len(boards) < 2 {
		t.Fatalf("%d dashboards", len(boards))
	}
	return boards
}

// TestDashboards: every expression of the dashboards parses and names what exists.
// What a real Prometheus answers to them is tested in tools/dashboard-test.
func TestDashboards(t *testing.T) {
	known := declaredMetrics(t)
	for file, board := range dashboards(t) {
		var rules strings.Builder
		rules.WriteString("groups:\n  - name: board\n    rules:\n")
		for i, p := range board.Panels {
			if p.Title == "" || p.Description == "" || p.FieldConfig.Defaults.Unit == "" || len(p.Targets) == 0 {
				t.Errorf("%s: panel %d has no title, no description, no unit or no expression", file, i+1)
			}
			if p.ID != i+1 || p.GridPos.X+p.GridPos.W > 24 || p.GridPos.W == 0 || p.GridPos.H == 0 {
				t.Errorf("%s: panel %q has number %d, place %+v", file, p.Title, p.ID, p.GridPos)
			}
			for _, target := range p.Targets {
				fmt.Fprintf(&rules, "      - {record: \"panel:%d\", expr: %q}\n", i, target.Expr)
				names := metricNames.FindAllString(target.Expr, -1)
				if len(names) == 0 && !strings.HasPrefix(target.Expr, "up{") {
					t.Errorf("%s: panel %q names no metric in %s", file, p.Title, target.Expr)
				}
				for _, name := range names {
					if !known[name] {
						t.Errorf("%s: panel %q: no metric and no rule is called %q", file, p.Title, name)
					}
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

// TestDashboardsAgreeWithAlerts: where a panel turns yellow or red, its
// description says so and names the alert, and the number is that of the alert.
func TestDashboardsAgreeWithAlerts(t *testing.T) {
	alerts := alertExpressions(t)
	name := regexp.MustCompile(`\(alert (\w+)\)`)
	shown := map[string]bool{}
	for file, board := range dashboards(t) {
		for _, p := range board.Panels {
			var exprs string
			for _, m := range name.FindAllStringSubmatch(p.Description, -1) {
				if alerts[m[1]] == "" {
					t.Errorf("%s: panel %q names alert %s, which does not exist", file, p.Title, m[1])
				}
				exprs += alerts[m[1]] + "\n"
				shown[m[1]] = true
			}
			colours, numbers := p.warnings()
			for _, colour := range colours {
				if !strings.Contains(strings.ToLower(p.Description), colour) || exprs == "" {
					t.Errorf("%s: panel %q can be %s, and does not say what to do then and which alert it is", file, p.Title, colour)
				}
			}
			if says := regexp.MustCompile(`(?i)never red`).MatchString(p.Description); says != (len(colours) == 0) {
				t.Errorf("%s: panel %q says that it is never red: %v; its colours are %q", file, p.Title, says, colours)
			}
			for _, number := range numbers {
				if !regexp.MustCompile(`[<>=] ` + regexp.QuoteMeta(number) + `\b`).MatchString(exprs) {
					t.Errorf("%s: panel %q changes colour at %s, the alerts that it names do not:\n%s", file, p.Title, number, exprs)
				}
			}
		}
	}
	for alert := range alerts {
		if !shown[alert] {
			t.Errorf("no panel shows alert %s", alert)
		}
	}
}

// warnings are the colours of a panel that call a person, and the numbers at which
// its colour changes.
func (p panel) warnings() (colours, numbers []string) {
	warns := func(colour string) bool { return colour == "red" || colour == "yellow" }
	take := func(colour string) {
		if warns(colour) && !slices.Contains(colours, colour) {
			colours = append(colours, colour)
		}
	}
	for _, step := range p.FieldConfig.Defaults.Thresholds.Steps {
		take(step.Color)
		if step.Value != nil {
			numbers = append(numbers, fmt.Sprint(*step.Value))
		}
	}
	for _, mapping := range p.FieldConfig.Defaults.Mappings {
		for value, option := range mapping.Options {
			take(option.Color)
			if warns(option.Color) {
				numbers = append(numbers, value)
			}
		}
	}
	return colours, numbers
}

// alertExpressions are the expressions of the alerts by their names.
func alertExpressions(t *testing.T) map[string]string {
	t.Helper()
	alerts := map[string]string{}
	for _, file := range glob(t, "deploy/prometheus/*.rules.yaml") {
		for _, rule := range strings.Split(readFile(t, file), "      - alert: ")[1:] {
			name, _, _ := strings.Cut(rule, "\n")
			alerts[name] = expressions(rule)
		}
	}
	return alerts
}
