package page

import (
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"time"

	"gauged/internal/chart"
	"gauged/internal/health/drift"
	"gauged/internal/health/driftchart"
	"gauged/internal/page/say"
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
	c, err := page.errorChart(r.words)
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
	c, err := g.errorChart(w)
	if err != nil {
		return err
	}
	g.Errors = template.HTML(c.SVG()) // of which every text is escaped
	for _, name := range g.charted() {
		drawn, err := g.controlChart(w, name)
		if err != nil {
			return err
		}
		g.Controls = append(g.Controls, controlDrawing{name, template.HTML(drawn.SVG())})
	}
	g.Signals = signalGroups(g.Charted.At.Charts)
	return nil
}

// errorChart draws the errors at the point that is shown, beside those at the others.
func (g *gaugePage) errorChart(w words.Words) (c chart.Chart, err error) {
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
func (g *gaugePage) about(w words.Words) (driftchart.About, *error) {
	var failed error
	places := map[uint64]int{} // of checks in the list, newest first
	for i, c := range g.Checks {
		places[c.Seq] = i
	}
	return driftchart.About{
		Note: func(k drift.Check) string {
			verdict := "no limit"
			if k.Verdict != "" {
				verdict = string(k.Verdict)
			}
			word, err := w.Say("check." + words.Key(verdict))
			said := ""
			if err == nil {
				said, err = w.Say("drift.note", w.Date(k.Time), say.Error(w, k.Found, math.Hypot(k.Uncertainty, k.Shared), g.Unit), word)
			}
			if err != nil && failed == nil {
				failed = err
			}
			return said
		},
		Link: func(k drift.Check) string {
			place, ok := places[k.Seq]
			if !ok {
				return ""
			}
			return addressed("/gauges/"+url.PathEscape(g.ID), "point", g.Reviewed.At.Point, "checks", fmt.Sprint(place/entriesShown)) + checkPlace(k.Seq)
		},
	}, &failed
}

// checkPlace is where a check stands on the page of its gauge.
func checkPlace(seq uint64) string { return fmt.Sprintf("#check-%d", seq) }
