package page

import (
	"bytes"
	"net/http"
	"strings"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/page/files"
	"gauged/internal/station"
)

func (p *Page) procedureRoutes(mux *http.ServeMux) {
	mux.Handle("GET /procedures", p.handle(p.listProcedures))
	mux.Handle("GET /procedures/{id}", p.handle(p.showInForce(library.KindProcedure)))
	mux.Handle("GET /parts/{id}", p.handle(p.showInForce(library.KindParts)))
	mux.Handle("GET /versions/{hash}", p.handle(p.showVersion))
	mux.Handle("GET /versions/{hash}/text", p.handle(p.sendText))
	mux.Handle("GET /versions/{hash}/drawing", p.handle(p.sendDrawing))
}

// addressOf is where a procedure or part family is shown.
func addressOf(kind, id string) string {
	if kind == library.KindParts {
		return "/parts/" + id
	}
	return "/procedures/" + id
}

// proceduresPage is the list of everything in the library.
type proceduresPage struct {
	Procedures []*procedure.Procedure
	Families   []*procedure.Family
}

func (p *Page) listProcedures(w http.ResponseWriter, r *request) error {
	l := p.o.Station.Library()
	return p.write(w, r, "procedures", proceduresPage{l.Procedures(), l.Families()})
}

// filePage is one version of a file, rendered readable.
type filePage struct {
	Kind, ID  string
	Title     string
	Hash      string
	InForce   bool
	Now       string // hash of the version in force; empty when there is none
	Since     time.Time
	Procedure *files.Procedure // of a procedure
	Family    *files.Family    // of a part family
	Versions  []station.Version
	Text      string // of the file, where the version is shown by its hash
	Changes   []files.Change
}

// showInForce shows the version of a procedure or part family that is in force.
func (p *Page) showInForce(kind string) func(http.ResponseWriter, *request) error {
	return func(w http.ResponseWriter, r *request) error {
		f, err := p.o.Station.Library().File(kind, r.PathValue("id"))
		if err != nil {
			return err
		}
		page, err := p.filePage(r, kind, f.ID, f.Content)
		if err != nil {
			return err
		}
		return p.write(w, r, "procedure", page)
	}
}

// filePage renders the content of a version.
func (p *Page) filePage(r *request, kind, id string, content []byte) (filePage, error) {
	page := filePage{Kind: kind, ID: id, Hash: gauge.HashContent(content)}
	inForce := p.o.Station.Library()
	if now, err := inForce.File(kind, id); err == nil {
		page.Now, page.InForce = now.Hash, now.Hash == page.Hash
	}
	var err error
	if page.Versions, err = p.o.Station.Versions(r.Context(), kind, id); err != nil {
		return page, err
	}
	if kind == library.KindParts {
		f, err := procedure.ReadStoredFamily(id, content)
		if err != nil {
			return page, err
		}
		page.Title = f.Title
		page.Family, err = files.ViewFamily(r.words, f, inForce.Users(id))
		return page, err
	}
	procedure, err := evaluate.ReadStoredProcedure(id, content)
	if err != nil {
		return page, err
	}
	page.Title = procedure.Title
	page.Procedure, err = files.ViewProcedure(r.words, procedure)
	return page, err
}

// showVersion shows any version that the history has, with its text and what
// differs from the version in force.
func (p *Page) showVersion(w http.ResponseWriter, r *request) error {
	f, err := p.o.Station.File(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	page, err := p.filePage(r, f.Kind, f.Name, f.Content)
	if err != nil {
		return err
	}
	page.Text, page.Since = string(f.Content), f.Time
	if now, err := p.o.Station.Library().File(f.Kind, f.Name); err == nil && !page.InForce {
		page.Changes = files.Differences(string(f.Content), string(now.Content))
	}
	return p.write(w, r, "procedure", page)
}

// sendText sends the file itself.
func (p *Page) sendText(w http.ResponseWriter, r *request) error {
	f, err := p.o.Station.File(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	sendFile(w, f.Name, f.Content)
	return nil
}

// sendFile sends a file of the shop to be kept.
func sendFile(w http.ResponseWriter, id string, content []byte) {
	w.Header().Set("Content-Type", "application/yaml; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+id+`.yaml"`)
	_, _ = w.Write(content) // the reader may have left
}

// drawingPolicy lets a drawing style itself and nothing else, should it be
// opened by itself.
const drawingPolicy = "default-src 'none'; style-src 'unsafe-inline'; sandbox"

// sendDrawing sends the drawing of a procedure's version, or of one of its
// steps. It never changes, for its address has the version.
func (p *Page) sendDrawing(w http.ResponseWriter, r *request) error {
	f, err := p.o.Station.File(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	procedure, err := evaluate.ReadStoredProcedure(f.Name, f.Content)
	if f.Kind != library.KindProcedure || err != nil {
		return errNoPage
	}
	drawing := procedure.Drawing
	if name := r.FormValue("step"); name != "" {
		step, _, _ := procedure.Step(name)
		drawing = step.Drawing
	}
	if drawing == nil {
		return errNoPage
	}
	w.Header().Set("Content-Type", drawing.Type)
	w.Header().Set("Content-Security-Policy", drawingPolicy)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	http.ServeContent(w, r.Request, "", time.Time{}, bytes.NewReader(drawing.Content))
	return nil
}

// lines counts the lines of a text.
func lines(text string) int { return strings.Count(text, "\n") + 1 }
