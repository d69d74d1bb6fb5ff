package page

import (
	"fmt"
	"html/template"
	"net/http"
	"slices"
	"strings"
	"time"

	"gauged/internal/chart"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/page/say"
	"gauged/internal/uncertainty"
	"gauged/internal/words"
)

// controlDrawing is a control chart as it is drawn.
type controlDrawing struct {
	Name string
	SVG  template.HTML
}

// charted are the control charts that can be drawn of the gauge.
func (g *gaugePage) charted() []string {
	if g.Charted == nil || g.Charted.At.Charts == nil {
		return nil
	}
	return driftchart.Control
}

// controlChart draws a control chart of the point whose charts are shown.
func (g *gaugePage) controlChart(w words.Words, name string) (c chart.Chart, err error) {
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
		return c, errNoPage
	}
	c.Scale(1 / size)
	c.Number = w.Number
	return c, *failed
}

// drawControl draws a control chart of the checks.
func (p *Page) drawControl(w http.ResponseWriter, r *request) error {
	name, svg := strings.CutSuffix(r.PathValue("chart"), ".svg")
	page, err := p.gaugeNow(r.Context(), r.PathValue("id"), r.FormValue("point"))
	if err != nil {
		return err
	}
	if !svg || !slices.Contains(page.charted(), name) {
		return errNoPage
	}
	c, err := page.controlChart(r.words, name)
	if err != nil {
		return err
	}
	return sendChart(w, c)
}

// signalGroup is the signals of one chart and one kind.
type signalGroup struct {
	drift.Signal // the newest
	Times        int
	First        time.Time
}

// signalGroups puts what charts say alike together, the newest first.
func signalGroups(c *drift.Charts) (groups []signalGroup) {
	if c == nil {
		return nil
	}
	for _, s := range slices.Backward(c.Signals) {
		i := slices.IndexFunc(groups, func(g signalGroup) bool { return g.Chart == s.Chart && g.What.Code == s.What.Code })
		if i < 0 {
			groups = append(groups, signalGroup{s, 0, s.Time})
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

// controlled is the name that the health of a gauge has for a chart.
func controlled(name string) string {
	if name == driftchart.Individuals {
		return drift.SingleChart
	}
	return drift.CUSUMChart
}
