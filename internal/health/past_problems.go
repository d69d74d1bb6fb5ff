package health

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// PastCheck is a check that was made before or elsewhere: the result of a laboratory,
// or one from earlier records.
type PastCheck struct {
	Time        time.Time
	By          string
	Place       string
	Certificate string
	Occasion    string
	Remark      string
	Found       []check.Stated
	Left        []check.Stated // after an adjustment
}

// ImportRequest brings checks of the past in. They take their places in time: trend,
// charts, advice and standing are computed again with them.
type ImportRequest struct {
	Gauge     string
	By        string
	Checks    []PastCheck
	Confirmed bool            // errors that are far off are meant
	Unread    []ImportProblem // what of the checks could not be read: it is judged no further
}

// ImportProblem is what is wrong with one of the checks.
type ImportProblem struct {
	Check   int    // index
	Point   int    // which of its errors, from 1, those found before those left; 0: the check itself
	Field   string // of the contract; empty: no single one
	Message gauge.Message
}

// fields are those of an error, in the order of the contract.
var fields = []string{"", "time", "found", "master_id", "unit", "value", "error", "uncertainty", "k"}

// order sorts problems as the checks were given.
func order(a, b ImportProblem) int {
	return cmp.Or(cmp.Compare(a.Check, b.Check), cmp.Compare(a.Point, b.Point), cmp.Compare(slices.Index(fields, a.Field), slices.Index(fields, b.Field)))
}

// What one import takes at most: all else waits while a gauge is computed again with it.
const (
	maxImport       = 2000
	maxImportErrors = 10_000
)

// Check refuses what is no import, or more than one, and errors of length of a gauge that
// is known to measure something else.
func (r ImportRequest) Check(measures gauge.Unit) error {
	switch {
	case measures.Known() && measures.Kind() != gauge.KindLength:
		return gauge.WrongInput("refusal.import.other-kind", gauge.Text("gauge", r.Gauge), gauge.Text("unit", measures.String()))
	case strings.TrimSpace(r.By) == "":
		return gauge.WrongInput("refusal.import.who")
	case len(r.Checks) == 0:
		return gauge.WrongInput("refusal.import.empty")
	}
	if len(r.Checks) > maxImport {
		return gauge.WrongInput("refusal.import.too-many", gauge.Count("count", len(r.Checks)), gauge.Count("most", maxImport))
	}
	stated := 0
	for _, c := range r.Checks {
		stated += len(c.Found) + len(c.Left)
	}
	if stated > maxImportErrors {
		return gauge.WrongInput("refusal.import.too-many-errors", gauge.Count("count", stated), gauge.Count("most", maxImportErrors))
	}
	return nil
}

// Problems are those of all checks, beside the stored ones of the gauge, in their order:
// one for each cause.
func (r ImportRequest) Problems(stored []*check.Record, masters map[string]check.Master, now time.Time) (all []ImportProblem) {
	here, there := map[time.Time]bool{}, map[time.Time]uint64{}
	for _, o := range stored {
		if o.Voided == nil {
			there[o.Time.UTC()] = o.Seq
		}
	}
	all = slices.Clone(r.Unread)
	for i, c := range r.Checks {
		wrong := func(field string, m gauge.Message) { all = append(all, ImportProblem{i, 0, field, m}) }
		utc, at := c.Time.UTC(), gauge.Moment("time", c.Time)
		switch {
		case c.Time.IsZero():
			wrong("time", gauge.Say("refusal.import.when"))
		case c.Time.After(now):
			wrong("time", gauge.Say("refusal.import.future", at))
		case c.Time.Before(time.Unix(0, 0)):
			wrong("time", gauge.Say("refusal.import.year", at))
		}
		if here[utc] && !utc.IsZero() {
			wrong("time", gauge.Say("refusal.import.time-twice", at))
		}
		here[utc] = true
		if seq, ok := there[utc]; ok {
			wrong("time", gauge.Say("refusal.import.there-already", gauge.Text("gauge", r.Gauge), at, gauge.Count("check", seq)))
		}
		if len(c.Found) == 0 {
			wrong("found", gauge.Say("refusal.import.nothing-found"))
		}
		all = append(all, r.pointProblems(i, 0, c.Found, masters)...)
		all = append(all, r.pointProblems(i, len(c.Found), c.Left, masters)...)
	}
	slices.SortStableFunc(all, order)
	return all
}

// pointProblems are those of the errors that a check found, or left, of which others
// stand before.
func (r ImportRequest) pointProblems(index, before int, points []check.Stated, masters map[string]check.Master) (all []ImportProblem) {
	type place struct {
		master  string
		falling bool
	}
	known := map[place]bool{}
	for k, p := range points {
		wrong := func(field string, m gauge.Message) {
			all = append(all, ImportProblem{index, before + k + 1, field, m})
		}
		read := func(names ...string) bool {
			return !slices.ContainsFunc(r.Unread, func(u ImportProblem) bool {
				return u.Check == index && u.Point == before+k+1 && (slices.Contains(names, u.Field) || u.Field == "unit" && !slices.Contains(names, "k"))
			})
		}
		master, at := gauge.Text("master", p.Master), place{p.Master, p.Falling}
		if known[at] && p.Master != "" {
			wrong("master_id", gauge.Say("refusal.import.error-twice", master))
		}
		known[at] = true
		if p.Uncertainty.Uncertainty <= 0 && read("uncertainty") {
			wrong("uncertainty", gauge.Say("refusal.import.uncertainty", master))
		}
		if err := p.Uncertainty.Plausible(); err != nil && read("k") {
			wrong("k", gauge.Say("refusal.import.at", master, gauge.Because("why", err)))
		}
		if err := check.Believed(p.Value+p.Error, p.Value); err != nil && !r.Confirmed && read("value", "error") {
			wrong("error", gauge.Say("refusal.import.error", master, shownHere("error", p.Error), gauge.Because("why", err)))
		}
		if m, ok := masters[p.Master]; ok && read("value") {
			if said := contradiction(p, m); !said.IsZero() {
				wrong("value", said)
			}
		}
	}
	return all
}

// contradiction is what is wrong with a value that is not the one of the master in the
// configuration, with what is uncertain about both; nothing: it is.
func contradiction(p check.Stated, m check.Master) gauge.Message {
	doubt := p.Uncertainty.Uncertainty
	if m.Certified != nil {
		doubt += m.Certified.Uncertainty
	}
	both := []gauge.Arg{gauge.Text("master", p.Master), shownHere("here", p.Value), shownHere("value", m.Value)}
	if factor := slip(p.Value, m.Value); factor != "" {
		return gauge.Say("refusal.import.factor", append(both, gauge.Shown("factor", factor, gauge.UnitUnknown))...)
	}
	if p.Uncertainty.Uncertainty <= 0 || (p.Value-m.Value).Abs() <= doubt { // the first is said, and hides what is uncertain
		return gauge.Message{}
	}
	return gauge.Say("refusal.import.other-value", both...)
}

// shownHere is a length of a check as it was stated.
func shownHere(name string, l gauge.Length) gauge.Arg {
	return gauge.Shown(name, studyText(l, gauge.Millimetre), gauge.Millimetre)
}

// slip is the factor between two values that comes from a wrong unit or decimal point,
// within one part in a thousand; empty: there is none.
func slip(a, b gauge.Length) string {
	small, large := min(a.Abs(), b.Abs()), max(a.Abs(), b.Abs())
	for _, f := range []struct {
		tenths gauge.Length
		name   string
	}{{100, "10"}, {254, "25.4"}, {10_000, "1000"}} {
		if small > 0 && (large/f.tenths*10-small).Abs() <= small/1000 {
			return f.name
		}
	}
	return ""
}
