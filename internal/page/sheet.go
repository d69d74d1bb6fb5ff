package page

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/sheet"
	"gauged/internal/station"
	"gauged/internal/words"
)

func (p *Page) sheetRoutes(mux *http.ServeMux) {
	mux.Handle("GET /jobs/{id}/sheet", p.handle(p.showSheet))
	mux.Handle("GET /jobs/{id}/sheet.pdf", p.handle(p.sendSheet))
}

// sheetPage is the print view of a job.
type sheetPage struct {
	*sheet.Sheet
	Job uint64
}

func (p *Page) showSheet(w http.ResponseWriter, r *request) error {
	id, s, err := p.sheet(r)
	if err != nil {
		return err
	}
	return p.write(w, r, "sheet", sheetPage{s, id})
}

func (p *Page) sendSheet(w http.ResponseWriter, r *request) error {
	id, s, err := p.sheet(r)
	if err != nil {
		return err
	}
	pdf, err := s.PDF(string(r.words.Language()), p.o.Now())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="job-%d.pdf"`, id))
	_, err = w.Write(pdf)
	return err
}

func (p *Page) sheet(r *request) (uint64, *sheet.Sheet, error) {
	id, err := r.number("id")
	if err != nil {
		return 0, nil, err
	}
	s, err := p.sheetOf(r.Context(), id, r.words)
	return id, s, err
}

func (p *Page) sheetOf(ctx context.Context, id uint64, w words.Words) (*sheet.Sheet, error) {
	st := p.o.Station
	j, err := st.Job(ctx, id)
	if err != nil {
		return nil, err
	}
	in := sheet.Input{Station: p.o.Name, Job: j}
	if in.Course, err = st.Course(ctx, id); err != nil {
		return nil, err
	}
	known := map[string]station.GaugeInfo{}
	for _, g := range st.Gauges() {
		known[g.ID] = g.GaugeInfo
	}
	used := slices.Sorted(maps.Values(j.Gauges))
	for _, gaugeID := range slices.Compact(used) {
		g := sheet.Gauge{GaugeInfo: known[gaugeID]}
		g.ID = gaugeID // of a gauge that the station does not have any more, too
		if g.Health, err = st.Health(gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) {
			return nil, err
		}
		if g.Checks, err = st.Checks(ctx, gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) {
			return nil, err
		}
		in.Gauges = append(in.Gauges, g)
	}
	return sheet.New(in, w)
}
