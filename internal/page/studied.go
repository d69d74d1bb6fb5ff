package page

import (
	"context"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
	"gauged/internal/health/studychart"
	"gauged/internal/page/figures"
	"gauged/internal/page/memory"
	"gauged/internal/page/signin"
	"gauged/internal/words"
)

func (p *Page) studiedRoutes(mux *http.ServeMux) {
	mux.Handle("GET /studies/{seq}", p.handle(p.showStudied))
	mux.Handle("GET /studies/{seq}/{chart}", p.handle(p.drawStudied))
	mux.Handle("GET /gauges/{id}/study/checks", p.handle(p.showFromChecks))
	mux.Handle("GET /gauges/{id}/study/checks/{chart}", p.handle(p.drawFromChecks))
	mux.Handle("POST /gauges/{id}/study/checks", p.form(p.recordFromChecks))
}

// studyAddress is where a stored study is shown.
func studyAddress(seq uint64) string { return "/studies/" + strconv.FormatUint(seq, 10) }

// studiedPage is a study that was made.
type studiedPage struct {
	*health.StudyRecord
	Bias   string // empty: the study asks none
	Tables []figures.Table
	Charts []studyChart
	Ask    url.Values // of a study from stored checks that is not stored yet
	Signer signin.Signer
}

// studyChart is a drawing of the study by its name, with its address.
type studyChart struct {
	Name, Address string
	SVG           template.HTML
}

// Field is a field of what was asked.
func (s studiedPage) Field(name string) string { return s.Ask.Get(name) }

// Tolerance is the width that the study compares with, in its unit; empty: none.
func (s studiedPage) Tolerance() string {
	if s.Plan.Options.Tolerance == 0 {
		return ""
	}
	return strconv.FormatFloat(s.Plan.Options.Tolerance, 'f', -1, 64)
}

// Notes are what was refused or left out, and why.
func (s studiedPage) Notes() []gauge.Message { return s.Headline.Notes }

// whole reads a study back with the readings that it was made of.
func whole(r *health.StudyRecord) (*study.Study, error) {
	s, err := study.ReadResult(r.Plan.Kind, r.Figures)
	if err != nil {
		return nil, fmt.Errorf("study %d: %w", r.Seq, err)
	}
	table, err := health.StudyTable(r.Gauge, r.Readings)
	if err != nil {
		return nil, fmt.Errorf("study %d: %w", r.Seq, err)
	}
	if s.Data, err = r.Plan.Read(table, nil); err != nil {
		return nil, fmt.Errorf("study %d: %w", r.Seq, err)
	}
	return s, nil
}

// studied shows a study whose charts lie under an address.
func studied(r *health.StudyRecord, w words.Words, address, query string) (page studiedPage, err error) {
	s, err := whole(r)
	if err != nil {
		return page, err
	}
	told := *r
	told.Headline = r.Headline.In(r.Unit)
	page.StudyRecord, page.Bias = &told, figures.Bias(s, r.Headline, r.Unit, w)
	if page.Tables, err = figures.Tables(s, r.Unit, w); err != nil {
		return page, err
	}
	drawings, err := studychart.Of(s, figures.Unit(r.Unit), w, figures.About(r, w))
	if err != nil {
		return page, err
	}
	for _, c := range drawings {
		page.Charts = append(page.Charts, studyChart{c.Name, address + "/" + c.Name + ".svg" + query, template.HTML(c.SVG())})
	}
	return page, nil
}

// storedStudy finds the study that the path names.
func (p *Page) storedStudy(r *request) (*health.StudyRecord, error) {
	seq, err := r.number("seq")
	if err != nil {
		return nil, err
	}
	return p.o.Station.Study(r.Context(), seq)
}

func (p *Page) showStudied(w http.ResponseWriter, r *request) error {
	made, err := p.storedStudy(r)
	if err != nil {
		return err
	}
	page, err := studied(made, r.words, studyAddress(made.Seq), "")
	if err != nil {
		return err
	}
	return p.write(w, r, "studied", page)
}

func (p *Page) drawStudied(w http.ResponseWriter, r *request) error {
	made, err := p.storedStudy(r)
	if err != nil {
		return err
	}
	return drawStudy(w, r, made)
}

// drawStudy sends the chart that the path names.
func drawStudy(w http.ResponseWriter, r *request, made *health.StudyRecord) error {
	s, err := whole(made)
	if err != nil {
		return err
	}
	drawings, err := studychart.Of(s, figures.Unit(made.Unit), r.words, nil)
	if err != nil {
		return err
	}
	for _, c := range drawings {
		if c.Name+".svg" == r.PathValue("chart") {
			w.Header().Set("Content-Type", "image/svg+xml")
			_, err = w.Write([]byte(c.SVG()))
			return err
		}
	}
	return errNoPage
}

// checksAsked reads what a study from stored checks is asked for.
func (r *request) checksAsked() (ask health.StudyRequest, err error) {
	ask = health.StudyRequest{Gauge: r.PathValue("id"), Checks: &health.StoredChecks{Master: r.FormValue("master")}}
	if since := r.FormValue("since"); since != "" {
		if ask.Checks.Since, err = time.ParseInLocation(time.DateOnly, since, time.Local); err != nil {
			return ask, gauge.WrongInput("refusal.page.no-day", gauge.Text("text", since))
		}
	}
	ask.Plan, err = studyPlan(study.Kind(r.FormValue("kind")), r.words.Typed(r.FormValue("tolerance")))
	return ask, err
}

// fromChecks makes a study of stored checks and stores nothing.
func (p *Page) fromChecks(ctx context.Context, r *request) (*health.StudyRecord, error) {
	ask, err := r.checksAsked()
	if err != nil {
		return nil, err
	}
	return p.o.Station.EvaluateStudy(ctx, ask)
}

func (p *Page) showFromChecks(w http.ResponseWriter, r *request) error {
	made, err := p.fromChecks(r.Context(), r)
	if err != nil {
		return err
	}
	page, err := studied(made, r.words, r.URL.Path, "?"+r.URL.RawQuery)
	if err != nil {
		return err
	}
	page.Ask, page.Signer = r.Form, signin.SignerOf(r.Request)
	return p.write(w, r, "studied", page)
}

func (p *Page) drawFromChecks(w http.ResponseWriter, r *request) error {
	made, err := p.fromChecks(r.Context(), r)
	if err != nil {
		return err
	}
	return drawStudy(w, r, made)
}

func (p *Page) recordFromChecks(w http.ResponseWriter, r *request) error {
	ask, err := r.checksAsked()
	if err != nil {
		return err
	}
	ask.By, ask.Remark = r.FormValue("by"), r.FormValue("remark")
	made, err := p.o.Station.RecordStudy(r.Context(), ask)
	if err != nil {
		return err
	}
	memory.KeepPerson(w, r.Request, made.By)
	http.Redirect(w, r.Request, studyAddress(made.Seq), http.StatusSeeOther)
	return nil
}
