package health

import (
	"fmt"
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
	Gauge  string
	By     string
	Checks []PastCheck
	DryRun bool // say what would come in, and store nothing
}

// ImportProblem is what is wrong with one of the checks.
type ImportProblem struct {
	Check int // index
	Text  string
}

// What one import takes at most: all else waits while a gauge is computed again with it.
const (
	maxImport       = 2000
	maxImportErrors = 10_000
)

// Check refuses what is no import, or more than one.
func (r ImportRequest) Check() error {
	switch {
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

// Problems are those of all checks, beside the stored ones of the gauge.
func (r ImportRequest) Problems(stored []*check.Record, masters map[string]check.Master, now time.Time) (all []ImportProblem) {
	here, there := map[time.Time]bool{}, map[time.Time]uint64{}
	for _, o := range stored {
		if o.Voided == nil {
			there[o.Time.UTC()] = o.Seq
		}
	}
	for i, c := range r.Checks {
		wrong := func(format string, args ...any) { all = append(all, ImportProblem{i, fmt.Sprintf(format, args...)}) }
		utc := c.Time.UTC()
		at := utc.Format(time.RFC3339)
		switch {
		case c.Time.IsZero():
			wrong("say when the check was made")
		case c.Time.After(now):
			wrong("%s is in the future", at)
		case c.Time.Before(time.Unix(0, 0)):
			wrong("%s is before 1970: write the year with all four digits", at)
		}
		if here[utc] {
			wrong("%s is the time of another of these checks: give each its own, with the hour", at)
		}
		here[utc] = true
		if seq, ok := there[utc]; ok {
			wrong("gauge %s has a check of %s already (number %d): it came in before, or give the hour", r.Gauge, at, seq)
		}
		if len(c.Found) == 0 {
			wrong("it has no error as found")
		}
		for _, points := range [][]check.Stated{c.Found, c.Left} {
			pointProblems(points, masters, wrong)
		}
	}
	return all
}

// pointProblems are those of the errors that a check found, or left.
func pointProblems(points []check.Stated, masters map[string]check.Master, wrong func(string, ...any)) {
	type place struct {
		master  string
		falling bool
	}
	known := map[place]bool{}
	for _, p := range points {
		if at := (place{p.Master, p.Falling}); known[at] {
			wrong("it has two errors at %s", p.Master)
		} else {
			known[at] = true
		}
		if p.Uncertainty.Uncertainty <= 0 {
			wrong("the uncertainty at %s is not above zero", p.Master)
		}
		if err := p.Uncertainty.Plausible(); err != nil {
			wrong("at %s %v", p.Master, err)
		}
		if err := check.Believed(p.Value+p.Error, p.Value); err != nil {
			wrong("the error at %s is %s mm: %v", p.Master, studyText(p.Error, gauge.Millimetre), err)
		}
		if m, ok := masters[p.Master]; ok {
			if text := contradiction(p, m); text != "" {
				wrong("%s", text)
			}
		}
	}
}

// contradiction is what is wrong with a value that is not the one of the master in the
// configuration, with what is uncertain about both; empty: it is.
func contradiction(p check.Stated, m check.Master) string {
	doubt := p.Uncertainty.Uncertainty
	if m.Certified != nil {
		doubt += m.Certified.Uncertainty
	}
	const mm = gauge.Millimetre
	text := fmt.Sprintf("the value of %s is %s mm here and %s mm in the configuration", p.Master, studyText(p.Value, mm), studyText(m.Value, mm))
	if name := slip(p.Value, m.Value); name != "" {
		return fmt.Sprintf("%s, a factor of %s: is the unit right, and the decimal point?", text, name)
	}
	if (p.Value - m.Value).Abs() <= doubt {
		return ""
	}
	return text + ", which is more than the uncertainties: correct it, or give another master its own name"
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
