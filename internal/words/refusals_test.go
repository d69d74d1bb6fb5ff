package words

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// exampleOf is what is filled in at a placeholder of a refusal; numbers ours.
func exampleOf(code, name string) gauge.Arg {
	at := time.Date(2026, 3, 31, 14, 5, 0, 0, time.Local)
	stated := strings.HasPrefix(code, "refusal.import.") || strings.HasPrefix(code, "refusal.believed.")
	switch {
	case stated && name == "time":
		return gauge.Moment(name, at)
	case stated && (name == "highest" || name == "factor" || code == "refusal.believed.coverage" || strings.HasPrefix(code, "refusal.believed.expansion")):
		return gauge.Shown(name, "25.4", gauge.UnitUnknown)
	case code == "refusal.believed.temperature":
		return gauge.Shown(name, "68", gauge.DegreeCelsius)
	case code == "refusal.believed.temperature-tolerance":
		return gauge.Shown(name, "25", gauge.Kelvin)
	case strings.HasPrefix(code, "refusal.drift.") && slices.Contains([]string{"given", "before", "low", "high", "usual"}, name):
		return gauge.Shown(name, "2.5", gauge.UnitUnknown)
	case code == "refusal.drift.setting":
		return gauge.Word(name, map[string]string{"what": "drift.setting.height", "chart": "drift.chart.cusum"}[name])
	case strings.HasPrefix(code, "row.") && code != "row.one-stream" && slices.Contains([]string{"given", "error", "reading", "reference", "is", "lower", "upper"}, name):
		return gauge.Shown(name, "2.5", gauge.UnitUnknown)
	case strings.HasPrefix(code, "row.") && name == "line":
		return gauge.Count(name, 12)
	case stated && slices.Contains([]string{"given", "value", "here", "error"}, name):
		return gauge.Shown(name, "0.0254", gauge.Millimetre)
	}
	if names := []string{"few-readings", "no-persons", "two-of-each", "no-masters"}; name == "given" && slices.Contains(names, strings.TrimPrefix(code, "refusal.plan.")) || name == "kind" && code == "refusal.study.not-from-checks" {
		return gauge.WordOf(name, "study.of", "crossed")
	}
	switch name {
	case "parts":
		if strings.HasPrefix(code, "refusal.plan.") {
			return gauge.Count(name, 3)
		}
	case "job", "number", "check", "study", "round", "row", "point", "recorded", "newest", "after", "entry":
		return gauge.Count(name, 7)
	case "count", "frames", "size", "of", "days", "more", "before", "decimals", "need", "better", "trials":
		return gauge.Count(name, 3)
	case "most":
		if strings.HasPrefix(code, "because.limits") {
			return gauge.Shown(name, "0.250", gauge.Millimetre)
		}
		return gauge.Count(name, 100)
	case "reading":
		if slices.Contains([]string{"refusal.reading.not-taken", "refusal.zero.no-length", "refusal.zero.too-far", "notice.zero-return", "notice.left-out.reading"}, code) {
			return gauge.Shown(name, "25.43", gauge.Millimetre)
		}
		return gauge.Count(name, 17)
	case "within", "thickness", "least":
		return gauge.Shown(name, "0.020", gauge.Millimetre)
	case "age", "ahead", "limit":
		return gauge.Span(name, 3*time.Minute)
	case "has":
		return gauge.WordOf(name, "role", "reader")
	case "roles":
		return gauge.List(name, gauge.WordOf("", "role", "quality"), gauge.WordOf("", "role", "administrator"))
	case "begun", "made", "expired", "expires", "latest", "due", "since", "until", "found":
		return gauge.Moment(name, at)
	case "state":
		return gauge.WordOf(name, "state", gauge.StateSilent)
	case "standing":
		return gauge.WordOf(name, "standing", "suspect")
	case "outcome":
		return gauge.WordOf(name, "outcome", "does not conform")
	case "reason":
		return gauge.WordOf(name, "reject", gauge.ReasonLayout)
	case "verdict":
		return gauge.WordOf(name, "check", "pass")
	case "kind":
		if code == "refusal.unit.other-kind" {
			return gauge.Word(name, gauge.KindTorque.Word()+".alone")
		}
		return gauge.Word(name, gauge.KindTorque.Word())
	case "places", "masters", "apart", "kinds", "gauges", "there", "problems", "symbols", "marks", "written":
		return gauge.Texts(name, []string{"one", "two", "three"})
	case "next":
		return gauge.Nested(name, gauge.Say("because.next.measure", gauge.Text("measurement", "depth")))
	case "others":
		return gauge.Nested(name, gauge.Say("because.others.near", gauge.Text("near", "dial"), gauge.Texts("there", []string{"dial", "clock"})))
	case "limits":
		return gauge.Nested(name, gauge.Say("because.limits.least", gauge.Shown("least", "0.020", gauge.Millimetre)))
	}
	return gauge.Text(name, "<"+name+">")
}

// TestNumbersInOneWording: what a reader of files says of a number is what the message of
// the error says.
func TestNumbersInOneWording(t *testing.T) {
	for _, u := range []gauge.Unit{gauge.Millimetre, gauge.Newton, gauge.UnitUnknown} {
		for _, text := range []string{"", "1,5", "1e3", "0.0000000001", "0.00000000012345", "12345678901", "1.2.3", "99999999999999"} {
			_, err := gauge.ParseLength(text, u)
			if err == nil {
				t.Errorf("%q in %v is a number", text, u)
			} else if got := In(English).Error(err); got != err.Error() {
				t.Errorf("%q in %v:\n%s\n%s", text, u, err, got)
			}
		}
	}
	for _, err := range []error{gauge.MissingUnit("1.5", gauge.Inch), gauge.MissingUnit("x", gauge.Inch), unknownUnit("cm")} {
		if got := In(English).Error(err); got != err.Error() {
			t.Errorf("%s\n%s", err, got)
		}
	}
}

// TestReasonsOfRejectsHaveWords: each reason for a rejected frame, and each state.
func TestReasonsOfRejectsHaveWords(t *testing.T) {
	for _, l := range Languages {
		for _, r := range gauge.Reasons {
			if !In(l.Tag).Has("reject." + string(r)) {
				t.Errorf("%s has no word in %s", r, l.Name)
			}
		}
		for _, s := range gauge.States {
			if !In(l.Tag).Has("state." + string(s)) {
				t.Errorf("%s has no word in %s", s, l.Name)
			}
		}
	}
}

func unknownUnit(symbol string) error {
	_, err := gauge.ParseUnit(symbol, gauge.KindLength)
	return err
}

// TestRefusals: every refusal of the daemon, and what refusals are made of, with its
// sentence in each language.
func TestRefusals(t *testing.T) {
	c := load(t)
	var out strings.Builder
	for _, code := range c.Keys() {
		kind, _, _ := strings.Cut(code, ".")
		if !slices.Contains([]string{"refusal", "because", "notice", "table", "row"}, kind) {
			continue
		}
		names, _ := c.Placeholders(code)
		m := gauge.Say(code)
		for _, name := range names {
			m.Args = append(m.Args, exampleOf(code, strings.TrimSuffix(name, "?")))
		}
		fmt.Fprintf(&out, "== %s\n", code)
		for _, l := range Languages {
			text, err := c.In(l.Tag).Text(m)
			if err != nil {
				t.Errorf("%s: %v", code, err)
			}
			fmt.Fprintln(&out, text)
		}
	}
	golden(t, "testdata/refusals.golden", out.String())
}
