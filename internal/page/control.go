package page

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/words"
)

// Controls are the control charts that can be drawn of the gauge.
func (g gaugePage) Controls() []string {
	if g.Charted == nil || g.Charted.At.Charts == nil {
		return nil
	}
	return driftchart.Control
}

// drawControl draws a control chart of the checks.
func (p *Page) drawControl(w http.ResponseWriter, r *request) error {
	line, err := p.gaugeNamed(r.PathValue("id"))
	if err != nil {
		return err
	}
	name, svg := strings.CutSuffix(r.PathValue("chart"), ".svg")
	if !svg || !slices.Contains(driftchart.Control, name) {
		return errNoPage
	}
	reviewed, err := p.o.Station.Review(r.Context(), line.ID, r.FormValue("point"))
	if err != nil {
		return err
	}
	if reviewed == nil || reviewed.At.Charts == nil {
		return errNoPage
	}
	unit, size := drawnUnit(line.Unit)
	texts, err := controlWords(r.words, name, unit, size)
	if err != nil {
		return err
	}
	texts.Title += " " + line.ID + ", " + reviewed.At.Point
	chart, ok := driftchart.ControlChart(name, reviewed.At, reviewed.Checks, texts)
	if !ok {
		return errNoPage
	}
	chart.Scale(1 / size)
	chart.Number = r.words.Number
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(chart.SVG()))
	return err
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
	t.Day = w.Day
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
