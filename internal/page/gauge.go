package page

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/signs"
	"gauged/internal/page/drawn"
	"gauged/internal/page/events"
	"gauged/internal/page/lists"
	"gauged/internal/page/signin"
	"gauged/internal/station"
)

func (p *Page) gaugeRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges/{id}", p.handle(p.showGauge))
	mux.Handle("GET /gauges/{id}/stream", p.handle(p.streamGauge))
	mux.Handle("GET /gauges/{id}/drift.svg", p.handle(p.drawGauge))
	mux.Handle("GET /gauges/{id}/control/{chart}", p.handle(p.drawControl))
	mux.Handle("POST /gauges/{id}/standing", p.form(p.setStanding))
	mux.Handle("POST /gauges/{id}/void", p.form(p.voidCheck))
}

// entriesShown is how many checks, and how many studies, are shown at once.
const entriesShown = 50

// gaugePage is one gauge with everything that is known of it.
type gaugePage struct {
	gaugeLine
	Checks    []*check.Record  // newest first
	Reviewed  *health.Reviewed // nil: there are no checks
	Charted   *health.Reviewed // the point whose control charts are shown: where none is asked for, one that signals
	Errors    template.HTML    // the drawing of the errors; empty: there are no checks
	Controls  []controlDrawing
	Signals   []drawn.SignalGroup // of the control charts, newest first
	Signs     []signs.Sign
	Standings []health.Standing
	Studies   []*health.StudyRecord // newest first
	// Other pages of the two lists.
	CheckPager, StudyPager lists.Pager
	Masters                []string // of its checks
	Signer                 signin.Signer
}

func (g gaugePage) stream() string { return "/gauges/" + g.ID + "/stream" }

// CanCheck reports whether a check can be made here.
func (g gaugeLine) CanCheck() bool { return g.Mode != "" && g.Mode != gauge.ModeSwitch }

// gaugeNamed finds a gauge of the station.
func (p *Page) gaugeNamed(id string) (gaugeLine, error) {
	g, err := p.o.Station.Gauge(id)
	if err != nil {
		return gaugeLine{}, err
	}
	return p.gaugeLine(g)
}

func (p *Page) gaugeNow(ctx context.Context, id, point string) (page gaugePage, err error) {
	if page.gaugeLine, err = p.gaugeNamed(id); err != nil {
		return page, err
	}
	page.Standings = health.Sayable
	if page.Checks, err = p.o.Station.AllChecks(ctx, id); err != nil {
		return page, err
	}
	slices.Reverse(page.Checks)
	if page.Reviewed, err = p.o.Station.Review(ctx, id, point); err != nil {
		return page, err
	}
	if point != "" && page.Reviewed == nil {
		return page, errNoPage
	}
	if page.Charted = page.Reviewed; point == "" && page.Reviewed != nil {
		if page.Charted, err = p.o.Station.Review(ctx, id, page.Reviewed.Gauge.ToShow().Point); err != nil {
			return page, err
		}
	}
	if page.Signs, err = p.o.Station.Signs(ctx, id); err != nil {
		return page, err
	}
	page.Studies, err = p.o.Station.Studies(ctx, "", gauge.Query{Gauge: id, Limit: math.MaxInt32})
	slices.Reverse(page.Studies)
	page.Masters = mastersOf(page.Checks)
	return page, err
}

// mastersOf are the masters at which checks were made.
func mastersOf(checks []*check.Record) (ids []string) {
	for _, c := range checks {
		for _, point := range c.Result.Points {
			ids = append(ids, point.Master)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids)
}

func (p *Page) showGauge(w http.ResponseWriter, r *request) error {
	id, point, checks, studies := r.PathValue("id"), r.FormValue("point"), lists.Number(r.FormValue("checks")), lists.Number(r.FormValue("studies"))
	page, err := p.gaugeNow(r.Context(), id, point)
	if err != nil {
		return err
	}
	page.Signer = signin.SignerOf(r.Request)
	if err := page.draw(r.words); err != nil {
		return err
	}
	path := "/gauges/" + url.PathEscape(id)
	page.Checks, page.CheckPager = lists.PartOf(page.Checks, checks, entriesShown, path, "checks", "#checks-title", "point", point, "studies", fmt.Sprint(studies))
	page.Studies, page.StudyPager = lists.PartOf(page.Studies, studies, entriesShown, path, "studies", "#studies-title", "point", point, "checks", fmt.Sprint(checks))
	return p.write(w, r, "gauge", page)
}

// streamGauge keeps the live reading up to date.
func (p *Page) streamGauge(w http.ResponseWriter, r *request) error {
	if _, err := p.gaugeNamed(r.PathValue("id")); err != nil {
		return err
	}
	s := events.New(w, r.Request)
	return p.follow(r, s, func() error {
		line, err := p.gaugeNamed(r.PathValue("id"))
		if err != nil {
			return err
		}
		now, err := p.region(r.words.Language(), "gauge", "now", gaugePage{gaugeLine: line})
		if err != nil {
			return err
		}
		return s.Regions(p.o.Station.Newest(), map[string]string{"now": now})
	})
}

func (p *Page) voidCheck(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	seq, err := strconv.ParseUint(r.FormValue("check"), 10, 64)
	if err != nil {
		return gauge.WrongInput("refusal.page.no-check-number", gauge.Text("text", r.FormValue("check")))
	}
	if _, err := p.o.Station.VoidCheck(r.Context(), station.VoidRequest{Gauge: id, Check: seq, Reason: r.FormValue("reason"), By: r.FormValue("by")}); err != nil {
		return err
	}
	http.Redirect(w, r.Request, "/gauges/"+id+"#checks-title", http.StatusSeeOther)
	return nil
}

func (p *Page) setStanding(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	if _, err := p.o.Station.SetStanding(r.Context(), id, health.Standing(r.FormValue("standing")), r.FormValue("reason"), r.FormValue("by")); err != nil {
		return err
	}
	http.Redirect(w, r.Request, "/gauges/"+id, http.StatusSeeOther)
	return nil
}
