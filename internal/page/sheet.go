package page

import (
	"fmt"
	"net/http"

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
	in, err := sheet.Gather(r.Context(), p.o.Station, p.o.Name, id)
	if err != nil {
		return id, nil, err
	}
	s, err := sheet.New(in, r.words)
	return id, s, err
}
