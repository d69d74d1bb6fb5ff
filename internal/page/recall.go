package page

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/recall"
	"gauged/internal/page/lists"
	"gauged/internal/page/signin"
	"gauged/internal/table"
)

func (p *Page) recallRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges/{id}/recall", p.handle(p.showRecall))
	mux.Handle("GET /gauges/{id}/recall.csv", p.handle(p.sendRecall))
	mux.Handle("POST /gauges/{id}/recall", p.form(p.decideRecall))
}

// recallPage is what past verdicts come to with the error of a gauge taken off.
type recallPage struct {
	gaugeLine
	Model    recall.Course
	Models   []recall.Course
	Error    string // as typed; empty: that of the last check
	Standard string // standard uncertainty of the error, as typed; empty: that of the check
	Typed    gauge.Unit
	Since    string
	Table    string       // address of the list as CSV
	Found    *recall.List // nil: nothing was asked yet
	Units    []gauge.Unit
	Station  string
	Signer   signin.Signer
	Now      time.Time
}

func (p *Page) recallNow(r *request) (page recallPage, err error) {
	if page.gaugeLine, err = p.gaugeNamed(r.PathValue("id")); err != nil {
		return page, err
	}
	page.Station, page.Now, page.Signer = p.o.Name, p.o.Now(), signin.SignerOf(r.Request)
	page.Units, page.Typed = gauge.Units(gauge.KindLength), page.Unit
	page.Models = []recall.Course{recall.CourseConstant, recall.CourseGrowing, recall.CourseFromWork}
	page.Model = cmp.Or(recall.Course(r.FormValue("model")), recall.CourseConstant)
	page.Error, page.Standard, page.Since = r.words.Typed(r.FormValue("error")), r.words.Typed(r.FormValue("standard")), r.FormValue("since")
	if r.FormValue("go") == "" {
		return page, nil
	}
	page.Table = "/gauges/" + page.ID + "/recall.csv?" + r.URL.RawQuery
	ask, err := page.asked(r.FormValue("unit"))
	if err != nil {
		return page, err
	}
	found, err := p.o.Station.Recall(r.Context(), ask)
	page.Found = &found
	return page, err
}

// asked reads what was typed, in the unit.
func (page *recallPage) asked(unit string) (ask recall.Request, err error) {
	ask = recall.Request{Gauge: page.ID, Model: page.Model}
	if page.Error != "" || page.Standard != "" {
		if page.Typed, err = gauge.ParseUnit(unit, gauge.KindLength); err != nil {
			return ask, gauge.AsInput(err)
		}
	}
	for _, one := range []struct {
		text string
		to   **gauge.Length
	}{{page.Error, &ask.Error}, {page.Standard, &ask.Standard}} {
		if one.text == "" {
			continue
		}
		value, err := gauge.ParseLength(one.text, page.Typed)
		if err != nil {
			return ask, gauge.AsInput(err)
		}
		*one.to = &value
	}
	ask.Since, err = lists.Day(page.Since)
	return ask, err
}

func (p *Page) showRecall(w http.ResponseWriter, r *request) error {
	page, err := p.recallNow(r)
	if err != nil {
		return err
	}
	return p.write(w, r, "recall", page)
}

func (p *Page) decideRecall(w http.ResponseWriter, r *request) error {
	id := r.PathValue("id")
	check, _ := strconv.ParseUint(r.FormValue("check"), 10, 64) // 0: the one that waits
	if _, err := p.o.Station.DecideRecall(r.Context(), health.RecallDecision{Gauge: id, Check: check, Reason: r.FormValue("reason"), By: r.FormValue("by")}); err != nil {
		return err
	}
	http.Redirect(w, r.Request, "/gauges/"+id+"/recall", http.StatusSeeOther)
	return nil
}

// sendRecall sends the list as a table. Its numbers have a decimal point.
func (p *Page) sendRecall(w http.ResponseWriter, r *request) error {
	page, err := p.recallNow(r)
	if err != nil {
		return err
	}
	if page.Found == nil {
		return errNoPage
	}
	p.beginTable(w, "recall-"+fileName(page.ID))
	rows := [][]string{{"job", "unit_serial", "result", "dimension", "started", "closed", "before", "now", "measured", "correction", "corrected", "min", "max", "unit", "probability", "beyond", "note"}}
	for _, i := range page.Found.Items {
		beyond := ""
		if i.Beyond {
			beyond = "yes"
		}
		row := func(result string, word procedure.Word, before, now, note string, values ...string) {
			rows = append(rows, slices.Concat([]string{strconv.FormatUint(i.Job, 10), i.UnitSerial, result, string(cmp.Or(word, procedure.WordResult)), lists.Cell(i.Started), lists.Cell(i.Closed), before, now}, values, []string{beyond, note}))
		}
		row("", i.Word, string(i.Before), string(i.After), recall.Note(i.ChoseOnly, false, false), recalled(i.Word, i.Measured, i.Correction(), i.Corrected, i.Allowed, i.Unit, i.Probability)...)
		for _, r := range i.Results {
			row(r.Name, r.Word, string(r.Was), string(r.Is), recall.Note(false, r.Predicted, r.Without), recalled(r.Word, r.Before, r.Correction(), r.After, r.Allowed, r.Unit, r.Probability)...)
		}
	}
	return table.Write(w, rows)
}

// recalled are the values of a line: before, the correction, after, the limits, the unit
// and the probability. Those of a preload are written as a preload, which has no sign.
func recalled(word procedure.Word, before, correction, after *gauge.Length, allowed procedure.Limits, u gauge.Unit, probability *float64) (cells []string) {
	for _, l := range []*gauge.Length{before, correction, after} {
		text := ""
		if l != nil {
			text = word.Called(*l).TextIn(u)
		}
		cells = append(cells, text)
	}
	allowed = word.CalledLimits(allowed)
	for _, l := range []*gauge.Length{allowed.Min, allowed.Max} {
		text := ""
		if l != nil {
			text = l.TextIn(u)
		}
		cells = append(cells, text)
	}
	chance := ""
	if probability != nil {
		chance = strconv.FormatFloat(*probability, 'f', 4, 64)
	}
	return append(cells, u.String(), chance)
}

// fileName keeps what any system takes in the name of a file.
func fileName(id string) string {
	return strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' {
			return c
		}
		return '-'
	}, id)
}
