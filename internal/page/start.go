package page

import (
	"net/http"
	"strconv"

	"gauged/internal/evaluate"
	"gauged/internal/station"
)

func (p *Page) startRoutes(mux *http.ServeMux) {
	mux.Handle("GET /{$}", p.handle(p.showStart))
	mux.Handle("GET /start/stream", p.handle(p.streamStart))
	mux.Handle("POST /jobs", p.handle(p.startJob))
}

// startPage is the first page: the open jobs, and a new one.
type startPage struct {
	Open       []*station.Job
	Procedures []*evaluate.Procedure
}

func (startPage) stream() string { return "/start/stream" }

func (p *Page) startNow() startPage {
	return startPage{Open: p.o.Station.Open(), Procedures: p.o.Station.Library().Procedures()}
}

func (p *Page) showStart(w http.ResponseWriter, r *request) error {
	return p.write(w, r, "start", p.startNow())
}

// streamStart keeps the list of open jobs up to date.
func (p *Page) streamStart(w http.ResponseWriter, r *request) error {
	s := newStream(w, r)
	return p.follow(r.Context(), s, func() error {
		open, err := p.region(r.words.Language(), "start", "open", p.startNow())
		if err != nil {
			return err
		}
		return s.regions(p.o.Station.Newest(), map[string]string{"open": open})
	})
}

func (p *Page) startJob(w http.ResponseWriter, r *request) error {
	j, err := p.o.Station.StartJob(r.Context(), station.StartRequest{
		Procedure: r.FormValue("procedure"), UnitSerial: r.FormValue("serial"), Technician: r.FormValue("technician"),
	})
	if err != nil {
		return err
	}
	http.Redirect(w, r.Request, "/jobs/"+strconv.FormatUint(j.ID, 10), http.StatusSeeOther)
	return nil
}
