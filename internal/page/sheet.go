package page

import (
	"errors"
	"fmt"
	"maps"
	"net/http"
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/sheet"
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
	st, ctx := p.o.Station, r.Context()
	j, err := st.Job(ctx, id)
	if err != nil {
		return id, nil, err
	}
	in := sheet.Input{Station: p.o.Name, Job: j, Record: st.Head().Grouped()}
	if in.Course, err = st.Course(ctx, id); err != nil {
		return id, nil, err
	}
	for _, gaugeID := range slices.Compact(slices.Sorted(maps.Values(j.Gauges))) {
		status, _ := st.Gauge(gaugeID) // nothing, of one that the station does not have any more
		g := sheet.Gauge{GaugeInfo: status.GaugeInfo}
		g.ID = gaugeID
		if g.Health, err = st.Health(gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) {
			return id, nil, err
		}
		if g.Checks, err = st.Checks(ctx, gaugeID); err != nil && !errors.Is(err, gauge.ErrNotFound) && !errors.As(err, new(*health.Damaged)) {
			return id, nil, err
		}
		in.Gauges = append(in.Gauges, g)
	}
	s, err := sheet.New(in, r.words)
	return id, s, err
}
