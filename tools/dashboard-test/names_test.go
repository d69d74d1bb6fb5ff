package dashboardtest

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	matcher  = regexp.MustCompile(`(\w+)\s*(?:=~|!~|!=|=)\s*("(?:[^"\\]|\\.)*")`)
	braces   = regexp.MustCompile(`\{[^}]*\}|\[[^\]]*\]`) // behind the name of a metric: matchers, and a range
	lists    = regexp.MustCompile(`\b(?:by|without|on|ignoring|group_left|group_right)\s*\([^)]*\)`)
	words    = regexp.MustCompile(`[A-Za-z_:][\w:]*(?:\s*\()?`) // with a bracket behind it, it is a function
	keywords = []string{"and", "or", "unless", "bool"}
	inLegend = regexp.MustCompile(`\{\{\s*(\w+)\s*\}\}`)
)

// metricsIn are the names of the metrics in an expression.
func metricsIn(expr string) []string {
	expr = lists.ReplaceAllString(braces.ReplaceAllString(expr, ""), "")
	return slices.DeleteFunc(words.FindAllString(expr, -1), func(word string) bool {
		return strings.HasSuffix(word, "(") || slices.Contains(keywords, word)
	})
}

func TestMetricsIn(t *testing.T) {
	got := metricsIn(`sum by (job, le) (rate(a_bucket{state=~"x|y"}[5m])) / b:c:d unless on (job) (max without (z) (e{f="g"}) == bool 1) or time() - h * 1.5`)
	if want := []string{"a_bucket", "b:c:d", "e", "h"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// namesWhatExists demands that Prometheus has seen every metric and every label value
// that an expression names. An answer alone does not show it: behind "unless", "or" and
// "!=", and beside what has an answer, a slip gives no fewer answers.
func (m *monitor) namesWhatExists(t *testing.T, all []expression) {
	t.Helper()
	seen := map[string][]string{}
	values := func(label string) []string {
		if seen[label] == nil {
			var list []string
			if err := m.get("label/"+label+"/values", nil, &list); err != nil {
				t.Fatal(err)
			}
			seen[label] = list
		}
		return seen[label]
	}
	for _, e := range all {
		for _, name := range metricsIn(e.expr) {
			if !slices.Contains(values("__name__"), name) {
				t.Errorf("%s: there is no metric %s", e.name, name)
			}
		}
		for _, match := range matcher.FindAllStringSubmatch(e.expr, -1) {
			text, err := strconv.Unquote(match[2])
			if err != nil {
				t.Fatalf("%s: %s: %v", e.name, match[0], err)
			}
			for one := range strings.SplitSeq(strings.Trim(text, "()"), "|") {
				if !slices.ContainsFunc(values(match[1]), regexp.MustCompile("^(?:"+one+")$").MatchString) {
					t.Errorf("%s: no metric has the label %s=%q", e.name, match[1], one)
				}
			}
		}
	}
}

// legendsShow demands that what gives something now has the labels that its panel writes
// beside each line.
func (m *monitor) legendsShow(t *testing.T, all []expression) {
	t.Helper()
	for _, e := range all {
		result, err := m.query(e.expr)
		if err != nil {
			t.Fatalf("%s: %v", e.expr, err)
		}
		for _, label := range inLegend.FindAllStringSubmatch(e.legend, -1) {
			for _, s := range result {
				if s.Metric[label[1]] == "" {
					t.Errorf("%s: its legend shows the label %s, and its answer has %v", e.name, label[1], s.Metric)
					break
				}
			}
		}
	}
}
