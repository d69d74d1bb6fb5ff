package page

import (
	"net/http"

	"gauged/internal/page/signin"
)

// asked is a page that asks who somebody is, or for the code of a device, with why in words.
type asked struct {
	signin.Asked
	Said string
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
	if err := p.write(w, r, name, asked{content, said}); err != nil {
		p.o.Log.Error("page", "path", r.URL.Path, "err", err)
	}
}
