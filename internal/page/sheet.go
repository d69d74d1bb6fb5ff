package page

import (
	"fmt"
	"net/http"

	"gauged/internal/sheet"
)

func (p *Page) sheetRoutes(mux *http.ServeMux) {
	mux.Handle("GET /jobs/{id}/sheet", p.handle(p.showSheet))
	of := sheet.House{Station: p.o.Name, Shop: p.o.Shop}
	mux.Handle("GET /jobs/{id}/sheet.pdf", p.handle(p.sendPDF("id", func(r *request, id uint64) (sheet.File, error) {
		return sheet.JobPDF(r.Context(), p.o.Station, of, id, r.words, p.o.Now())
	})))
	mux.Handle("GET /gauges/{id}/checks/{seq}/sheet.pdf", p.handle(p.sendPDF("seq", func(r *request, seq uint64) (sheet.File, error) {
		return sheet.CheckPDF(r.Context(), p.o.Station, of, r.PathValue("id"), seq, r.words, p.o.Now())
	})))
}

// sheetPage is the print view of a job.
type sheetPage struct {
	*sheet.Sheet
	Job uint64
}

func (p *Page) showSheet(w http.ResponseWriter, r *request) error {
	id, err := r.number("id")
	if err != nil {
		return err
	}
	in, err := sheet.Gather(r.Context(), p.o.Station, p.o.Name, id)
	if err != nil {
		return err
	}
	s, err := sheet.New(in, r.words)
	if err != nil {
		return err
	}
	return p.write(w, r, "sheet", sheetPage{s, id})
}

// sendPDF sends the paper that make gives of what a number in the path names.
func (p *Page) sendPDF(number string, make func(r *request, number uint64) (sheet.File, error)) func(http.ResponseWriter, *request) error {
	return func(w http.ResponseWriter, r *request) error {
		n, err := r.number(number)
		if err != nil {
			return err
		}
		f, err := make(r, n)
		if err != nil {
			return err
		}
		w.Header().Set("Content-Type", f.Type)
		w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename=%q`, f.Name))
		_, err = w.Write(f.Content)
		return err
	}
}
