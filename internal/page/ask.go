package page

import (
	"net/http"
	"strconv"
	"strings"

	"gauged/internal/library"
	"gauged/internal/page/files"
	"gauged/internal/page/signin"
)

// asked is a page that asks who somebody is, or for the code of a device, with why in words.
type asked struct {
	signin.Asked
	Said    string
	Rows    []signin.Row   // what is signed, in words
	Changes []files.Change // of a file, beside the version in force
	Unit    string         // serial number of the unit of a job
}

// ask answers with a page of the desk at the door. A script gets the reason alone.
func (p *Page) ask(w http.ResponseWriter, h *http.Request, status int, name string, content signin.Asked) {
	r := p.requested(h)
	said := ""
	if why := content.Why; why != nil {
		said = r.words.Error(why)
	}
	if r.byScript() {
		http.Error(w, said, status)
		return
	}
	w.WriteHeader(status)
	shown := asked{Asked: content, Said: said}
	if content.Prepared != nil {
		p.showPrepared(r, &shown)
	}
	if err := p.write(w, r, name, shown); err != nil {
		p.o.Log.Error("page", "path", r.URL.Path, "err", err)
	}
}

// showPrepared adds what is signed: the unit of a job, what a form says, and the difference
// that an edit makes.
func (p *Page) showPrepared(r *request, a *asked) {
	act := a.Prepared
	a.Rows = act.Rows(r.words)
	kinds := map[string]string{"prepared.procedures-edit": library.KindProcedure, "prepared.parts-edit": library.KindParts}
	if kind, edits := kinds[act.Does]; edits {
		if f, err := p.o.Station.Library().File(kind, act.To); err == nil {
			a.Changes = files.Differences(string(f.Content), unixLines(r.PostFormValue("text"), f.Content))
		}
	}
	if strings.HasPrefix(act.Back, "/jobs/") {
		n, _ := strconv.ParseUint(act.To, 10, 64)
		if j, err := p.o.Station.Job(r.Context(), n); err == nil {
			a.Unit = j.UnitSerial
		}
	}
}
