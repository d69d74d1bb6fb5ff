// Package drawn makes the drawings of a gauge's page, and says what its control charts signal.
package drawn

import (
	"fmt"
	"slices"
	"time"

	"gauged/internal/chart"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/page/say"
	"gauged/internal/uncertainty"
	"gauged/internal/words"
)

// Gauge is what is drawn of a gauge.
type Gauge struct {
	ID       string
	Unit     gauge.Unit
	Reviewed *health.Reviewed          // the point whose errors are drawn; nil: there are no checks
	Charted  *health.Reviewed          // the point whose control charts are drawn
	Link     func(check uint64) string // where a check stands; empty: nowhere
}

// Errors draws the errors at the point that is shown, beside those at the others.
func (g Gauge) Errors(w words.Words) (c chart.Chart, err error) {
	unit, size := say.ErrorUnit(g.Unit)
	t := map[string]string{}
	for _, key := range []string{"title", "up", "trend", "upper", "lower", "found", "left", "limit", "describe"} {
		if t[key], err = w.Say("drift." + key); err != nil {
			return c, err
		}
	}
	scaled := func(metres float64) string { return w.Number(fmt.Sprintf("%+.4g", metres/size)) + " " + unit }
	at, checks := g.Reviewed.At, g.Reviewed.Checks
	about, fails := g.about(w)
	c = driftchart.Errors(at, checks, at.MPE, g.Reviewed.Others, driftchart.Words{
		Title: t["title"] + " " + g.ID + ", " + at.Point, Up: t["up"] + " " + unit, Trend: t["trend"], Upper: t["upper"], Lower: t["lower"],
		Found: t["found"] + ", " + at.Point, Left: t["left"],
		Limit: func(at float64) string { return t["limit"] + " " + scaled(at) },
		Crossing: func(day time.Time) string {
			said, err := w.Say("drift.crossing", w.Date(day))
			if err != nil && *fails == nil {
				*fails = err
			}
			return said
		},
		Day: w.Date, Zone: time.Local, Description: t["describe"] + " " + scaled(checks[len(checks)-1].Found), About: about,
	})
	c.Scale(1 / size)
	c.Number = w.Number
	return c, *fails
}

// about says of a check in a drawing what it found, and where more of it stands.
func (g Gauge) about(w words.Words) (driftchart.About, *error) {
	var failed error
	return driftchart.About{
		Note: func(k drift.Check) string {
			verdict := "no limit"
			if k.Verdict != "" {
				verdict = string(k.Verdict)
			}
			word, err := w.Say("check." + words.Key(verdict))
			said := ""
			if err == nil {
				said, err = w.Say("drift.note", w.Date(k.Time), say.Around(w, k.Found, k.Around(), g.Unit), word)
			}
			if err != nil && failed == nil {
				failed = err
			}
			return said
		},
		Link: func(k drift.Check) string { return g.Link(k.Seq) },
	}, &failed
}

// Controls are the control charts that can be drawn of the gauge.
func (g Gauge) Controls() []string {
	if g.Charted == nil || g.Charted.At.Charts == nil {
		return nil
	}
	return driftchart.Control
}

// Control draws a control chart of the point whose charts are shown.
func (g Gauge) Control(w words.Words, name string) (c chart.Chart, err error) {
	unit, size := say.ErrorUnit(g.Unit)
	texts, err := controlWords(w, name, unit, size)
	if err != nil {
		return c, err
	}
	var failed *error
	texts.Title += " " + g.ID + ", " + g.Charted.At.Point
	texts.About, failed = g.about(w)
	if c := g.Charted.At.Charts; c.SigmaUncertainty*c.Baseline.Sigma > 0 {
		texts.Number = func(metres float64) string {
			written, _ := uncertainty.TwoDigits(metres/size, c.SigmaUncertainty*c.Baseline.Sigma/size)
			return w.Number(written) + " " + unit
		}
	}
	c, ok := driftchart.ControlChart(name, g.Charted.At, g.Charted.Checks, texts)
	if !ok {
		return c, gauge.ErrNotFound
	}
	c.Scale(1 / size)
	c.Number = w.Number
	return c, *failed
}

// SignalGroup is the signals of one chart and one kind.
type SignalGroup struct {
	drift.Signal // the newest
	Times        int
	First        time.Time
}

// Signals puts what charts say alike together, the newest first.
func Signals(c *drift.Charts) (groups []SignalGroup) {
	if c == nil {
		return nil
	}
	for _, s := range slices.Backward(c.Signals) {
		i := slices.IndexFunc(groups, func(g SignalGroup) bool { return g.Chart == s.Chart && g.What.Code == s.What.Code })
		if i < 0 {
			groups = append(groups, SignalGroup{s, 0, s.Time})
			i = len(groups) - 1
		}
		groups[i].Times++
		if s.Time.Before(groups[i].First) {
			groups[i].First = s.Time
		}
	}
	return groups
}

// controlWords are the texts of a control chart, whose heights are metres.
func controlWords(w words.Words, name, unit string, size float64) (t driftchart.ControlWords, err error) {
	for _, one := range []struct {
		key string
		to  *string
	}{
		{name, &t.Title},
		{name + ".up", &t.Up},
		{"describe", &t.Description},
		{"along", &t.Along},
		{name + ".value", &t.Value},
		{"high", &t.High},
		{"low", &t.Low},
		{"centre", &t.Centre},
		{"upper", &t.Upper},
		{"lower", &t.Lower},
		{"signal", &t.Signal},
	} {
		if *one.to, err = w.Say("control." + one.key); err != nil {
			return t, err
		}
	}
	t.Up += " " + unit
	t.Day = w.Date
	t.Number = func(metres float64) string { return w.Number(fmt.Sprintf("%.4g", metres/size)) + " " + unit }
	return t, nil
}

// Chart is the name that the health of a gauge has for a chart.
func Chart(name string) string {
	if name == driftchart.Individuals {
		return drift.SingleChart
	}
	return drift.CUSUMChart
}
