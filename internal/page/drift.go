package page

import (
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"gauged/internal/chart"
	"gauged/internal/page/drawn"
	"gauged/internal/page/lists"
	"gauged/internal/words"
)

// drawGauge draws the errors at the checks, with the limits and the trend.
func (p *Page) drawGauge(w http.ResponseWriter, r *request) error {
	page, err := p.gaugeNow(r.Context(), r.PathValue("id"), r.FormValue("point"))
	if err != nil {
		return err
	}
	if page.Reviewed == nil {
		return errNoPage
	}
	c, err := page.drawing().Errors(r.words)
	if err != nil {
		return err
	}
	return sendChart(w, c)
}

// sendChart sends a drawing as a picture of its own.
func sendChart(w http.ResponseWriter, c chart.Chart) error {
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err := w.Write([]byte(c.SVG()))
	return err
}

// draw makes the drawings that the page shows.
func (g *gaugePage) draw(w words.Words) error {
	if g.Reviewed == nil {
		return nil
	}
	c, err := g.drawing().Errors(w)
	if err != nil {
		return err
	}
	g.Errors = template.HTML(c.SVG()) // of which every text is escaped
	for _, name := range g.drawing().Controls() {
		c, err := g.drawing().Control(w, name)
		if err != nil {
			return err
		}
		g.Controls = append(g.Controls, controlDrawing{name, template.HTML(c.SVG())})
	}
	g.Signals = drawn.Signals(g.Charted.At.Charts)
	return nil
}

// checkPlace is where a check stands on the page of its gauge.
func checkPlace(seq uint64) string { return fmt.Sprintf("#check-%d", seq) }

// drawing is what is drawn of the gauge; a check in it leads to its row, on whichever part of
// the list that stands.
func (g *gaugePage) drawing() drawn.Gauge {
	places := map[uint64]int{} // of checks in the list, newest first
	for i, c := range g.Checks {
		places[c.Seq] = i
	}
	return drawn.Gauge{ID: g.ID, Unit: g.Unit, Reviewed: g.Reviewed, Charted: g.Charted, Link: func(check uint64) string {
		place, ok := places[check]
		if !ok {
			return ""
		}
		return lists.Address("/gauges/"+url.PathEscape(g.ID), "point", g.Reviewed.At.Point, "checks", fmt.Sprint(place/entriesShown)) + checkPlace(check)
	}}
}

// controlDrawing is a control chart as it is drawn.
type controlDrawing struct {
	Name string
	SVG  template.HTML
}

// drawControl draws a control chart of the checks.
func (p *Page) drawControl(w http.ResponseWriter, r *request) error {
	name, svg := strings.CutSuffix(r.PathValue("chart"), ".svg")
	page, err := p.gaugeNow(r.Context(), r.PathValue("id"), r.FormValue("point"))
	if err != nil {
		return err
	}
	if !svg || !slices.Contains(page.drawing().Controls(), name) {
		return errNoPage
	}
	c, err := page.drawing().Control(r.words, name)
	if err != nil {
		return err
	}
	return sendChart(w, c)
}
