package dashboardtest

import (
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// expression is one that a person or an alert depends on.
type expression struct {
	name   string // "alert NAME", "record NAME" or "FILE: TITLE", with the letter of the target
	expr   string
	legend string // how a panel writes its lines
}

// board is what these tests read of a dashboard.
type board struct {
	Templating struct {
		List []struct {
			Name, Type, Query string
		}
	}
	Panels []struct {
		Title   string
		Targets []struct{ RefID, Expr, LegendFormat string }
	}
}

// expressions are those of all rules that Prometheus has loaded, and of all
// panels, with the variables of the dashboards filled in.
func expressions(t *testing.T, m *monitor) []expression {
	t.Helper()
	var all []expression
	kinds := map[string]string{"alerting": "alert ", "recording": "record "}
	for _, r := range m.rules() {
		all = append(all, expression{name: kinds[r.Type] + r.Name, expr: r.Query})
	}
	if len(all) < 20 {
		t.Fatalf("%d rules", len(all))
	}
	files, err := filepath.Glob("../../deploy/grafana/*.json")
	if err != nil || len(files) < 2 {
		t.Fatalf("%d dashboards, %v", len(files), err)
	}
	for _, file := range files {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var b board
		if err := json.Unmarshal(content, &b); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		fill := variables(t, m, b)
		for _, p := range b.Panels {
			for _, target := range p.Targets {
				all = append(all, expression{fmt.Sprintf("%s: %s, %s", filepath.Base(file), p.Title, target.RefID), fill(target.Expr), target.LegendFormat})
			}
		}
	}
	return all
}

var labelValues = regexp.MustCompile(`^label_values\((.+), ([a-z_]+)\)$`)

// variables asks for the values of a dashboard's variables, in their order, and
// returns what fills them into an expression as Grafana does where all are
// chosen: as alternatives of a regular expression.
func variables(t *testing.T, m *monitor, b board) func(string) string {
	t.Helper()
	filled := map[string]string{}
	fill := func(expr string) string {
		return regexp.MustCompile(`\$\{?(\w+)\}?`).ReplaceAllStringFunc(expr, func(variable string) string {
			value, known := filled[strings.Trim(variable, "${}")]
			if !known {
				t.Errorf("%s is no variable of the dashboard, in %s", variable, expr)
			}
			return value
		})
	}
	for _, v := range b.Templating.List {
		if v.Type == "datasource" {
			continue
		}
		query := labelValues.FindStringSubmatch(v.Query)
		if query == nil {
			t.Fatalf("variable %s: what is %q?", v.Name, v.Query)
		}
		var values []string
		if err := m.get("label/"+query[2]+"/values", url.Values{"match[]": {fill(query[1])}}, &values); err != nil || len(values) < 2 {
			t.Fatalf("variable %s has values %q, %v", v.Name, values, err)
		}
		for i, value := range values {
			values[i] = strings.ReplaceAll(regexp.QuoteMeta(value), `\`, `\\`)
		}
		slices.Sort(values)
		filled[v.Name] = "(" + strings.Join(values, "|") + ")"
	}
	return fill
}
