package page

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/order"
	"gauged/internal/health/study"
	"gauged/internal/page/events"
	"gauged/internal/page/memory"
	"gauged/internal/page/signin"
	"gauged/internal/station"
)

func (p *Page) studyRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges/{id}/study", p.handle(p.showStudy))
	mux.Handle("GET /gauges/{id}/study/stream", p.handle(p.streamStudy))
	mux.Handle("POST /gauges/{id}/study", p.form(p.beginStudy))
	mux.Handle("POST /gauges/{id}/study/take", p.changeStudy(p.takeForStudy))
	mux.Handle("POST /gauges/{id}/study/drop", p.changeStudy(p.dropFromStudy))
	mux.Handle("POST /gauges/{id}/study/record", p.form(p.recordStudy))
	mux.Handle("POST /gauges/{id}/study/cancel", p.form(p.cancelStudy))
}

// studyPage is a study that is to be begun, or that is being measured.
type studyPage struct {
	gaugeLine
	Masters []check.Master
	Signer  signin.Signer
	Seed    uint64
	Draft   *studyDraft // nil: to be begun
}

func (s studyPage) stream() string {
	if s.Draft == nil {
		return ""
	}
	return "/gauges/" + s.ID + "/study/stream"
}

func (p *Page) studyNow(ctx context.Context, id string) (page studyPage, err error) {
	if page.gaugeLine, err = p.gaugeNamed(id); err != nil {
		return page, err
	}
	masters := p.o.Station.Masters()
	for _, name := range slices.Sorted(maps.Keys(masters)) {
		page.Masters = append(page.Masters, masters[name])
	}
	page.Seed = uint64(p.o.Now().Unix()%999_999) + 1
	err = p.studies.With(id, func(d *studyDraft) error {
		if d == nil {
			return nil
		}
		if page.Button() {
			if err := p.absorbIntoStudy(ctx, d); err != nil {
				return err
			}
		}
		page.Draft = d.copy() // the draft may go on meanwhile
		return nil
	})
	return page, err
}

// absorbIntoStudy takes what a gauge with a button has sent since.
func (p *Page) absorbIntoStudy(ctx context.Context, d *studyDraft) error {
	for !d.Done() {
		facts, err := p.o.Station.Readings(ctx, gauge.Query{Gauge: d.Gauge, After: d.after, Limit: 1})
		if err != nil || len(facts) == 0 {
			return err
		}
		if err := d.take(facts[0]); errors.Is(err, gauge.ErrRefused) {
			d.Refused = gauge.Told(err)
		}
	}
	return nil
}

func (p *Page) showStudy(w http.ResponseWriter, r *request) error {
	page, err := p.studyNow(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	page.Signer = signin.SignerOf(r.Request)
	return p.write(w, r, "study", page)
}

func (p *Page) streamStudy(w http.ResponseWriter, r *request) error {
	if _, err := p.gaugeNamed(r.PathValue("id")); err != nil {
		return err
	}
	s := events.New(w, r.Request)
	taken, begun := -1, p.o.Station.Newest()
	return p.follow(r, s, func() error {
		page, err := p.studyNow(r.Context(), r.PathValue("id"))
		if err != nil {
			return err
		}
		if page.Draft == nil { // recorded or given up on another screen
			return p.leaveStudy(r.Context(), s, page.ID, begun)
		}
		regions := map[string]string{}
		for _, name := range []string{"now", "steps"} {
			if regions[name], err = p.region(r.words.Language(), "study", name, page); err != nil {
				return err
			}
		}
		if n := page.Draft.Count(); n > taken && taken >= 0 {
			if err := s.Event("tone", 0, "taken"); err != nil {
				return err
			}
		}
		taken = page.Draft.Count()
		return s.Regions(p.o.Station.Newest(), regions)
	})
}

// leaveStudy leads to the study that was recorded since, or to the gauge.
func (p *Page) leaveStudy(ctx context.Context, s *events.Stream, id string, since uint64) error {
	studies, err := p.o.Station.Studies(ctx, "", gauge.Query{Gauge: id, After: since, Limit: 1})
	if err != nil {
		return err
	}
	to := "/gauges/" + id
	if len(studies) > 0 {
		to = studyAddress(studies[0].Seq)
	}
	return s.Event("leave", 0, to)
}

func (p *Page) beginStudy(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	line, err := p.gaugeNamed(id)
	if err != nil {
		return err
	}
	if !line.CanCheck() {
		return gauge.Refused("refusal.page.no-study-readings", gauge.Text("gauge", id))
	}
	d, err := r.studyAsked(id)
	if err != nil {
		return err
	}
	for _, s := range d.Steps {
		if _, ok := p.o.Station.Masters()[s.Master]; s.Master != "" && !ok {
			return gauge.WrongInput("refusal.master.missing", gauge.Text("master", s.Master))
		}
	}
	d.after = p.o.Station.Newest()
	one := p.takes.of(gaugeNumber(id))
	one.Lock()
	defer one.Unlock()
	if err := p.studies.With(id, func(now *studyDraft) error {
		if now != nil {
			return gauge.Refused("refusal.page.study-runs", gauge.Text("gauge", id))
		}
		return nil
	}); err != nil {
		return err
	}
	p.studies.Put(id, d)
	memory.KeepPerson(w, r.Request, d.By)
	http.Redirect(w, r.Request, "/gauges/"+id+"/study", http.StatusSeeOther)
	return nil
}

// studyAsked reads the form of a study that is to be begun.
func (r *request) studyAsked(id string) (*studyDraft, error) {
	d := &studyDraft{Gauge: id, Once: rand.Text(), By: r.FormValue("by"), Kind: study.Kind(r.FormValue("kind")), Tolerance: r.words.Typed(r.FormValue("tolerance"))}
	if d.By == "" {
		return nil, gauge.WrongInput("refusal.study.who")
	}
	plan := order.Plan{
		Kind: d.Kind, Parts: r.FormValue("parts"), Persons: order.Names(r.FormValue("persons")),
		Masters: r.Form["master"], Reference: r.words.Typed(r.FormValue("reference")), Tolerance: d.Tolerance,
	}
	var err error
	if text := r.FormValue("trials"); text != "" {
		if plan.Trials, err = strconv.Atoi(text); err != nil {
			return nil, gauge.WrongInput("refusal.page.trials", gauge.Text("text", text))
		}
	}
	if text := r.FormValue("seed"); text != "" {
		if plan.Seed, err = strconv.ParseUint(text, 10, 64); err != nil {
			return nil, gauge.WrongInput("refusal.page.seed", gauge.Text("text", text))
		}
	}
	if plan.Reference != "" {
		if _, err := study.ParseNumber(plan.Reference); err != nil {
			return nil, gauge.WrongInput("refusal.study.reference", gauge.Because("why", err))
		}
	}
	steps, err := plan.Steps()
	if err != nil {
		return nil, gauge.WrongInput("refusal.page.study-plan", gauge.Because("why", err))
	}
	for _, s := range steps {
		d.Steps = append(d.Steps, studyStep{Step: s})
	}
	_, err = studyPlan(d.Kind, d.Tolerance)
	return d, err
}

// changeStudy makes a handler of a change of the draft, one at a time for each
// gauge. A form that was drawn before the last change does nothing.
func (p *Page) changeStudy(change func(*request, studyPage) error) http.Handler {
	return p.form(func(w http.ResponseWriter, r *request) error {
		return p.studyAlone(r, func(page studyPage) error {
			if seen := r.FormValue("seen"); seen != "" && seen != page.Draft.seen() {
				return errMovedOn
			}
			if err := change(r, page); err != nil {
				return err
			}
			return r.done(w, "/gauges/"+page.ID+"/study")
		})
	})
}

// studyAlone works on the study under way on a gauge while nobody else changes it.
func (p *Page) studyAlone(r *request, work func(studyPage) error) error {
	id := r.PathValue("id")
	one := p.takes.of(gaugeNumber(id))
	one.Lock()
	defer one.Unlock()
	page, err := p.studyNow(r.Context(), id)
	if err != nil {
		return err
	}
	if page.Draft == nil {
		return gauge.Refused("refusal.page.no-study", gauge.Text("gauge", id))
	}
	return work(page)
}

// gaugeNumber is a number for a gauge; several may have the same.
func gaugeNumber(id string) uint64 { return uint64(crc32.ChecksumIEEE([]byte(id))) }

// seen is what a form was drawn of.
func (d *studyDraft) seen() string { return fmt.Sprint(d.Count(), ".", d.Dropped) }

// Seen is what the forms of the page are drawn of.
func (s studyPage) Seen() string { return s.Draft.seen() }

// takeForStudy takes the present reading of a gauge, or what was typed of one
// without a connection.
func (p *Page) takeForStudy(r *request, page studyPage) error {
	var f gauge.Fact
	var err error
	switch {
	case page.Draft.Done():
		return gauge.Refused("refusal.page.study-full")
	case page.Button():
		return gauge.Refused("refusal.gauge.press", gauge.Text("gauge", page.ID))
	case page.ReadByEye():
		typed := station.TypedReading{Shown: r.words.Typed(r.FormValue("shown")), Unit: page.Unit}
		f, err = p.o.Station.EnterReading(r.Context(), page.ID, typed, page.Draft.By)
	default:
		f, err = p.o.Station.ReadNow(r.Context(), page.ID)
	}
	if err != nil {
		return err
	}
	return p.onStudy(page.ID, func(d *studyDraft) error { return d.take(f) })
}

func (p *Page) dropFromStudy(_ *request, page studyPage) error {
	return p.onStudy(page.ID, (*studyDraft).drop)
}

// onStudy changes a draft, if it is still there.
func (p *Page) onStudy(id string, f func(*studyDraft) error) error {
	return p.studies.With(id, func(d *studyDraft) error {
		if d == nil {
			return errNoPage
		}
		return f(d)
	})
}

// recordStudy makes the study. What is refused is said on its page, and the
// readings stay.
func (p *Page) recordStudy(w http.ResponseWriter, r *request) error {
	return p.studyAlone(r, func(page studyPage) error { return p.recorded(w, r, page.ID, page.Draft) })
}

func (p *Page) recorded(w http.ResponseWriter, r *request, id string, d *studyDraft) error {
	if !d.Done() {
		return gauge.Refused("refusal.page.still-missing", gauge.Count("count", len(d.Steps)-d.Count()), gauge.Count("of", len(d.Steps)))
	}
	remark := r.FormValue("remark")
	if d.Dropped > 0 {
		taken, err := r.words.Say("study.taken-back", d.Dropped)
		if err != nil {
			return err
		}
		remark = strings.TrimPrefix(remark+"; "+taken, "; ")
	}
	ask, err := d.request(remark)
	if err != nil {
		return err
	}
	made, err := p.o.Station.RecordStudy(r.Context(), ask)
	if errors.Is(err, gauge.ErrRefused) || errors.Is(err, gauge.ErrInput) {
		why := gauge.Told(err)
		if err := p.onStudy(id, func(d *studyDraft) error { d.Refused = why; return nil }); err != nil {
			return err
		}
		http.Redirect(w, r.Request, "/gauges/"+id+"/study", http.StatusSeeOther)
		return nil
	}
	if err != nil {
		return err
	}
	p.studies.Put(id, nil)
	http.Redirect(w, r.Request, studyAddress(made.Seq), http.StatusSeeOther)
	return nil
}

func (p *Page) cancelStudy(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	one := p.takes.of(gaugeNumber(id))
	one.Lock()
	defer one.Unlock()
	p.studies.Put(id, nil)
	http.Redirect(w, r.Request, "/gauges/"+id, http.StatusSeeOther)
	return nil
}
