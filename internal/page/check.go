package page

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"maps"
	"math"
	"net/http"
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/page/events"
	"gauged/internal/page/running"
	"gauged/internal/page/signin"
	"gauged/internal/station"
)

func (p *Page) checkRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges/{id}/check", p.handle(p.showCheck))
	mux.Handle("GET /gauges/{id}/check/stream", p.handle(p.streamCheck))
	mux.Handle("POST /gauges/{id}/check", p.form(p.beginCheck))
	mux.Handle("POST /gauges/{id}/check/take", p.form(p.takeForCheck))
	mux.Handle("POST /gauges/{id}/check/drop", p.changeCheck((*running.Check).Drop, false))
	mux.Handle("POST /gauges/{id}/check/adjusted", p.changeCheck((*running.Check).Adjust, true))
	mux.Handle("POST /gauges/{id}/check/record", p.form(p.recordCheck))
	mux.Handle("POST /gauges/{id}/check/cancel", p.form(p.cancelCheck))
}

// checkPage is a check that is to be begun, or that is being made.
type checkPage struct {
	gaugeLine
	Masters []checkMaster
	Plan    []running.Point
	Draft   *running.Check // nil: to be begun
	Signer  signin.Signer
}

// checkMaster is a master at which a check can be made, unless its own calibration is due.
type checkMaster struct {
	check.Master
	Overdue bool
}

// TitleOf is what a master is called; empty: nothing but its id.
func (c checkPage) TitleOf(master string) string {
	for _, m := range c.Masters {
		if m.ID == master {
			return m.Title
		}
	}
	return ""
}

// OverdueOfPlan are the masters of the plan whose own calibration is due.
func (c checkPage) OverdueOfPlan() (ids []string) {
	for _, m := range c.Masters {
		if m.Overdue && slices.ContainsFunc(c.Plan, func(p running.Point) bool { return p.Master == m.ID }) {
			ids = append(ids, m.ID)
		}
	}
	return ids
}

// possible is the plan without the masters whose own calibration is due: what is left
// may still fail the gauge.
func (c checkPage) possible() []running.Point {
	overdue := c.OverdueOfPlan()
	return slices.DeleteFunc(slices.Clone(c.Plan), func(p running.Point) bool { return slices.Contains(overdue, p.Master) })
}

// FarOff asks back a reading of the check that is far off its master, as soon as it is in;
// zero: none is.
func (c checkPage) FarOff() gauge.Message {
	for _, p := range slices.Concat(c.Draft.Found, c.Draft.Left) {
		at := slices.IndexFunc(c.Masters, func(m checkMaster) bool { return m.ID == p.Master })
		if at < 0 {
			continue
		}
		of := check.Point{Master: c.Masters[at].Master}
		for _, f := range p.Readings {
			of.Readings = append(of.Readings, f.Reading.Value)
		}
		if err := of.AskBack(); err != nil {
			return gauge.Told(err)
		}
	}
	return gauge.Message{}
}

func (c checkPage) stream() string {
	if c.Draft == nil {
		return ""
	}
	return "/gauges/" + c.ID + "/check/stream"
}

func (p *Page) checkNow(ctx context.Context, id string) (page checkPage, err error) {
	if page.gaugeLine, err = p.gaugeNamed(id); err != nil {
		return page, err
	}
	masters := p.o.Station.Masters()
	for _, name := range slices.Sorted(maps.Keys(masters)) {
		page.Masters = append(page.Masters, checkMaster{masters[name], masters[name].Overdue(p.o.Now())})
	}
	if page.Health != nil {
		page.Plan = running.Planned(page.Health.Plan)
	}
	if err := p.findAgain(ctx, page); err != nil {
		return page, err
	}
	err = p.drafts.With(id, func(d *running.Check) error {
		if d == nil {
			return nil
		}
		if page.Button() {
			if err := p.absorb(ctx, d, math.MaxUint64); err != nil {
				return err
			}
		}
		page.Draft = d.Copy() // the draft may go on meanwhile
		return nil
	})
	return page, err
}

// absorb takes what a gauge with a button has sent since, up to a number of the history.
func (p *Page) absorb(ctx context.Context, d *running.Check, to uint64) error {
	for !d.Done() {
		facts, err := p.o.Station.Readings(ctx, gauge.Query{Gauge: d.Gauge, After: d.After, Limit: 1})
		if err != nil || len(facts) == 0 || facts[0].Seq > to {
			return err
		}
		if err := d.Take(facts[0]); err != nil {
			return err
		}
	}
	return nil
}

func (p *Page) showCheck(w http.ResponseWriter, r *request) error {
	page, err := p.checkNow(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	page.Signer = signin.SignerOf(r.Request)
	return p.write(w, r, "check", page)
}

func (p *Page) streamCheck(w http.ResponseWriter, r *request) error {
	s := events.New(w, r.Request)
	taken := -1
	return p.follow(r, s, func() error {
		page, err := p.checkNow(r.Context(), r.PathValue("id"))
		if err != nil {
			return err
		}
		if page.Draft == nil { // recorded or given up on another screen
			return s.Event("leave", 0, "/gauges/"+page.ID)
		}
		regions := map[string]string{}
		for _, name := range []string{"now", "points"} {
			if regions[name], err = p.region(r.words.Language(), "check", name, page); err != nil {
				return err
			}
		}
		if n := page.Draft.Count(); n > taken && taken >= 0 {
			tone := "taken"
			if !page.FarOff().IsZero() {
				tone = "refused"
			}
			if err := s.Event("tone", 0, tone); err != nil {
				return err
			}
		}
		taken = page.Draft.Count()
		return s.Regions(p.o.Station.Newest(), regions)
	})
}

func (p *Page) beginCheck(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	page, err := p.checkNow(r.Context(), id)
	if err != nil {
		return err
	}
	if page.Draft != nil {
		return gauge.Refused("refusal.page.check-runs", gauge.Text("gauge", id))
	}
	d := &running.Check{
		Gauge: id, Once: rand.Text(), By: r.FormValue("by"), Occasion: r.FormValue("occasion"), Found: page.possible(),
		Temperature: r.words.Typed(r.FormValue("temperature")), Tolerance: r.words.Typed(r.FormValue("tolerance")),
	}
	if _, err := d.Celsius(); err != nil {
		return err
	}
	if len(d.Found) == 0 {
		repeats, err := strconv.Atoi(cmp.Or(r.FormValue("repeats"), "3"))
		if err != nil || repeats < 1 || repeats > 100 {
			return gauge.WrongInput("refusal.page.repeats", gauge.Text("text", r.FormValue("repeats")))
		}
		for _, m := range page.Masters {
			if slices.Contains(r.Form["master"], m.ID) {
				d.Found = append(d.Found, running.Point{Master: m.ID, Wanted: repeats})
			}
		}
	}
	if len(d.Found) == 0 {
		return gauge.WrongInput("refusal.page.no-master")
	}
	begun, err := p.o.Station.BeginCheck(r.Context(), id, d.By, running.MastersAt(d.Found), d.Plan())
	if err != nil {
		return err
	}
	d.Begun, d.After = begun.Seq, begun.Seq
	p.drafts.Put(id, d)
	http.Redirect(w, r.Request, "/gauges/"+id+"/check", http.StatusSeeOther)
	return nil
}

// takeForCheck takes the present reading of a gauge that sends all the time, or what
// was typed of one without a connection.
func (p *Page) takeForCheck(w http.ResponseWriter, r *request) error {
	page, err := p.checkNow(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	var typed *station.TypedReading
	switch {
	case page.Draft == nil:
		return gauge.Refused("refusal.page.no-check", gauge.Text("gauge", page.ID))
	case page.Button():
		return gauge.Refused("refusal.gauge.press", gauge.Text("gauge", page.ID))
	case page.ReadByEye():
		shown := r.words.Typed(r.FormValue("shown"))
		typed = &station.TypedReading{Shown: shown, Unit: page.Unit}
	case page.Last.Reading == nil || page.Age > running.FreshCheck:
		return gauge.Refused("refusal.page.sent-nothing", gauge.Text("gauge", page.ID), gauge.Span("age", page.Age))
	}
	if err := p.drafts.With(page.ID, func(d *running.Check) error {
		switch {
		case d == nil:
			return errNoPage
		case typed != nil && d.Done():
			return gauge.Refused("refusal.page.check-full")
		case typed == nil: // refused before it is stored
			if err := d.Copy().Take(page.Last); err != nil {
				return err
			}
		}
		stored, err := p.o.Station.GoOnCheck(r.Context(), page.ID, d.By, health.StepData{Begun: d.Begun, Taken: page.Last.Seq, After: d.After}, typed)
		if err != nil {
			return err
		}
		if typed != nil {
			page.Last = stored
		}
		return d.Take(page.Last)
	}); err != nil {
		return err
	}
	return r.done(w, "/gauges/"+page.ID+"/check")
}

// changeCheck makes a handler of a change of the draft.
func (p *Page) changeCheck(change func(*running.Check) error, adjusted bool) http.Handler {
	return p.form(func(w http.ResponseWriter, r *request) error {
		id := r.PathValue("id")
		err := p.drafts.With(id, func(d *running.Check) error {
			if d == nil {
				return gauge.Refused("refusal.page.no-check", gauge.Text("gauge", id))
			}
			if err := change(d.Copy()); err != nil { // refused before it is stored
				return err
			}
			if _, err := p.o.Station.GoOnCheck(r.Context(), id, d.By, health.StepData{Begun: d.Begun, Adjusted: adjusted, After: d.After}, nil); err != nil {
				return err
			}
			return change(d)
		})
		if err != nil {
			return err
		}
		return r.done(w, "/gauges/"+id+"/check")
	})
}

func (p *Page) recordCheck(w http.ResponseWriter, r *request) error {
	page, err := p.checkNow(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	d := page.Draft
	switch {
	case d == nil:
		return gauge.Refused("refusal.page.no-check", gauge.Text("gauge", page.ID))
	case !d.Done():
		return gauge.Refused("refusal.page.still-missing-at", gauge.Count("count", d.Now().Missing()), gauge.Text("master", d.Now().Master))
	}
	temperature, err := d.Celsius()
	if err != nil {
		return err
	}
	_, err = p.o.Station.RecordCheck(r.Context(), station.CheckRequest{
		Gauge: d.Gauge, By: d.By, Occasion: d.Occasion, Remark: r.FormValue("remark"), Temperature: temperature,
		Found: running.Taken(d.Found), Left: running.Taken(d.Left), Begun: d.Begun, Confirmed: r.FormValue("sure") != "",
	})
	switch {
	case err != nil && gauge.Told(err).Code == "refusal.check.far-off":
		return question{err}
	case err != nil:
		return err
	}
	p.drafts.Put(page.ID, nil)
	http.Redirect(w, r.Request, "/gauges/"+page.ID, http.StatusSeeOther)
	return nil
}

func (p *Page) cancelCheck(w http.ResponseWriter, r *request) error {
	page, err := p.checkNow(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	if d := page.Draft; d != nil {
		if _, err := p.o.Station.LeaveCheck(r.Context(), page.ID, d.Begun, d.By); err != nil && !errors.Is(err, gauge.ErrRefused) {
			return err // refused: another screen has recorded or left it
		}
	}
	p.drafts.Put(page.ID, nil)
	http.Redirect(w, r.Request, "/gauges/"+page.ID, http.StatusSeeOther)
	return nil
}
