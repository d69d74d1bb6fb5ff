package page

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

func (p *Page) recallRoutes(mux *http.ServeMux) {
	mux.Handle("GET /gauges/{id}/recall", p.handle(p.showRecall))
	mux.Handle("GET /gauges/{id}/recall.csv", p.handle(p.sendRecall))
}

// recallPage is what past verdicts come to with the error of a gauge taken off.
type recallPage struct {
	gaugeLine
	Error   string // as typed; empty: that of the last check
	Growing bool
	Since   string
	Query   string          // of the list as CSV
	Found   *station.Recall // nil: nothing was asked yet
	Units   []gauge.Unit
}

func (p *Page) recallNow(r *request) (page recallPage, err error) {
	if page.gaugeLine, err = p.gaugeNamed(r.PathValue("id")); err != nil {
		return page, err
	}
	page.Units = gauge.Units(gauge.KindLength)
	page.Error, page.Growing, page.Since = r.words.Typed(r.FormValue("error")), r.FormValue("growing") != "", r.FormValue("since")
	if r.FormValue("go") == "" {
		return page, nil
	}
	page.Query = r.URL.RawQuery
	ask := station.RecallRequest{Gauge: page.ID}
	if page.Growing {
		ask.Model = station.ErrorGrowing
	}
	if page.Error != "" {
		unit, err := gauge.ParseUnit(r.FormValue("unit"), gauge.KindLength)
		if err != nil {
			return page, fmt.Errorf("%w: %w", station.ErrInput, err)
		}
		off, err := gauge.ParseLength(page.Error, unit)
		if err != nil {
			return page, fmt.Errorf("%w: %w", station.ErrInput, err)
		}
		ask.Error = &off
	}
	if page.Since != "" {
		if ask.Since, err = time.ParseInLocation(time.DateOnly, page.Since, time.Local); err != nil {
			return page, fmt.Errorf("%w: %q is no day such as 2026-03-31", station.ErrInput, page.Since)
		}
	}
	found, err := p.o.Station.Recall(r.Context(), ask)
	page.Found = &found
	return page, err
}

func (p *Page) showRecall(w http.ResponseWriter, r *request) error {
	page, err := p.recallNow(r)
	if err != nil {
		return err
	}
	return p.write(w, r, "recall", page)
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
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="recall-%s.csv"`, fileName(page.ID)))
	table := csv.NewWriter(w)
	rows := [][]string{{"job", "unit_serial", "started", "closed", "before", "now", "measured", "corrected", "min", "max", "unit", "probability"}}
	for _, i := range page.Found.Items {
		text := func(l *gauge.Length) string {
			if l == nil {
				return ""
			}
			return evaluate.TextIn(*l, i.Unit)
		}
		closed, probability := "", ""
		if !i.Closed.IsZero() {
			closed = i.Closed.UTC().Format(time.RFC3339)
		}
		if i.Probability != nil {
			probability = strconv.FormatFloat(*i.Probability, 'f', 4, 64)
		}
		rows = append(rows, []string{
			strconv.FormatUint(i.Job, 10), i.UnitSerial, i.Started.UTC().Format(time.RFC3339), closed, string(i.Before), string(i.After),
			text(i.Measured), text(i.Corrected), text(i.Allowed.Min), text(i.Allowed.Max), i.Unit.String(), probability,
		})
	}
	return table.WriteAll(rows)
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
