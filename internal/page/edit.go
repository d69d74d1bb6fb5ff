package page

import (
	"net/http"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/library"
	"gauged/internal/page/files"
	"gauged/internal/page/signin"
	"gauged/internal/shelf"
)

func (p *Page) editRoutes(mux *http.ServeMux) {
	mux.Handle("GET /procedures/{id}/edit", p.handle(p.beginEdit(library.KindProcedure)))
	mux.Handle("POST /procedures/{id}/edit", p.handle(p.edit(library.KindProcedure)))
	mux.Handle("GET /parts/{id}/edit", p.handle(p.beginEdit(library.KindParts)))
	mux.Handle("POST /parts/{id}/edit", p.handle(p.edit(library.KindParts)))
}

// editPage is a copy of a file under work. Nothing of it is kept on the server.
type editPage struct {
	Kind, ID   string
	Base       string // hash of the version that the copy was made from
	Text       string
	By, Reason string
	Readonly   string // why the file cannot be written; empty when it can
	Stale      bool   // another version has come in force meanwhile
	Done       string // what was asked for: check, try, difference or save
	Problems   []files.Fault
	Signer     signin.Signer
	Changes    []files.Change
	Try        tryForm
}

// Lines counts the lines of the copy.
func (e editPage) Lines() int { return lines(e.Text) }

// Numbers are the numbers of the lines.
func (e editPage) Numbers() []int {
	numbers := make([]int, e.Lines())
	for i := range numbers {
		numbers[i] = i + 1
	}
	return numbers
}

// Address is where the file is shown.
func (e editPage) Address() string { return addressOf(e.Kind, e.ID) }

// beginEdit shows a copy of the file in force.
func (p *Page) beginEdit(kind string) func(http.ResponseWriter, *request) error {
	return func(w http.ResponseWriter, r *request) error {
		f, err := p.o.Station.Library().File(kind, r.PathValue("id"))
		if err != nil {
			return err
		}
		e := editPage{Kind: kind, ID: f.ID, Base: f.Hash, Text: string(f.Content), Signer: signin.SignerOf(r.Request)}
		return p.writeEdit(w, r, &e, f)
	}
}

// writeEdit completes a page of an edit and answers with it.
func (p *Page) writeEdit(w http.ResponseWriter, r *request, e *editPage, f library.File) error {
	if err := p.o.Files.Writable(e.Kind, e.ID); err != nil {
		e.Readonly = r.words.Error(err)
	}
	e.Stale = e.Base != f.Hash
	if err := p.offerTry(r, e); err != nil {
		return err
	}
	return p.write(w, r, "edit", *e)
}

// edit does what is asked of a copy.
func (p *Page) edit(kind string) func(http.ResponseWriter, *request) error {
	return func(w http.ResponseWriter, r *request) error {
		if err := r.ParseForm(); err != nil {
			return &problem{http.StatusRequestEntityTooLarge, err}
		}
		f, err := p.o.Station.Library().File(kind, r.PathValue("id"))
		if err != nil {
			return err
		}
		signer := signin.SignerOf(r.Request)
		if !signer.Closed {
			signer.Name = r.FormValue("by") // as it was typed
		}
		e := editPage{
			Kind: kind, ID: f.ID, Base: r.FormValue("base"), Text: unixLines(r.FormValue("text"), f.Content),
			By: r.FormValue("by"), Reason: r.FormValue("reason"), Done: r.FormValue("do"), Signer: signer,
		}
		if e.Done == "download" {
			sendFile(w, f.ID, []byte(e.Text))
			return nil
		}
		saved, err := p.carryOut(r, &e, f)
		if err != nil {
			return err
		}
		if saved {
			http.Redirect(w, r.Request, e.Address(), http.StatusSeeOther)
			return nil
		}
		return p.writeEdit(w, r, &e, f)
	}
}

// carryOut checks, tries, compares or saves a copy.
func (p *Page) carryOut(r *request, e *editPage, f library.File) (saved bool, err error) {
	next, problems := p.o.Files.Check(r.Context(), e.Kind, e.ID, []byte(e.Text))
	e.Problems = files.Faults(r.words, problems, f.Path)
	switch e.Done {
	case "try":
		if problems == nil {
			return false, p.try(r, e, next)
		}
	case "difference":
		e.Changes = files.Differences(string(f.Content), e.Text)
	case "save":
		if problems != nil {
			return false, nil
		}
		err := p.o.Files.Save(r.Context(), shelf.Revision{Kind: e.Kind, ID: e.ID, Base: e.Base, Content: []byte(e.Text), By: e.By, Reason: e.Reason})
		if err == nil {
			return true, nil
		}
		if statusOf(err) >= http.StatusInternalServerError {
			return false, err
		}
		e.Problems = []files.Fault{{Text: r.words.Error(err)}} // the copy stays on the page
	}
	return false, nil
}

// unixLines takes back what a browser does to the ends of lines; a file that has
// other ones keeps them.
func unixLines(text string, file []byte) string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if strings.Contains(string(file), "\r\n") {
		return strings.ReplaceAll(text, "\n", "\r\n")
	}
	return text
}

// concerned are the procedures that a file decides over: itself, or those that
// choose from it.
func concerned(l *library.Library, kind, id string) []*procedure.Procedure {
	if kind == library.KindParts {
		return l.Users(id)
	}
	if p, _, err := l.Procedure(id); err == nil {
		return []*procedure.Procedure{p}
	}
	return nil
}
