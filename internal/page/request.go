package page

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"path"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/page/memory"
	"gauged/internal/words"
)

// request is a request with the settings of whoever looks at the page.
type request struct {
	*http.Request
	words    words.Words
	settings memory.Settings
}

// errNoPage says that an address leads nowhere.
var errNoPage = gauge.NotFound("refusal.page.missing")

// problem is an error with the status that it is answered with.
type problem struct {
	status int
	err    error
}

func (e *problem) Error() string { return e.err.Error() }
func (e *problem) Unwrap() error { return e.err }

// handle makes a handler of a function that may fail. A failure is told as a
// page, or as plain text to a script.
func (p *Page) handle(f func(http.ResponseWriter, *request) error) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, h *http.Request) {
		r := p.requested(h)
		if err := f(w, r); err != nil {
			p.fail(w, r, err)
		}
	})
}

// requested reads the settings that a request comes with.
func (p *Page) requested(h *http.Request) *request {
	s := memory.Read(h)
	return &request{Request: h, settings: s, words: p.catalogue.In(s.Language).WithSigns()}
}

// failure is what the page of a failure shows.
type failure struct {
	Status  int
	Missing bool   // there is no such page
	Detail  string // what is wrong, and what to do
	Ask     *form  // the same form once more, for somebody who is sure; nil: there is nothing to ask
}

// form is a form that was sent.
type form struct {
	Action string
	Back   string // where it was sent from
	Fields map[string][]string
}

// again is the form that was sent, with a field that says that it was meant.
func (r *request) again() *form {
	f := &form{Action: r.URL.Path, Back: path.Dir(r.URL.Path), Fields: map[string][]string{"sure": {"1"}}}
	for name, values := range r.PostForm {
		if name != "sure" {
			f.Fields[name] = values
		}
	}
	if f.Back == "/" { // a job that was to begin
		given := maps.Clone(f.Fields)
		delete(given, "sure")
		delete(given, "request")
		f.Back = "/start?" + url.Values(given).Encode()
	}
	return f
}

func (p *Page) fail(w http.ResponseWriter, r *request, err error) {
	if r.Context().Err() != nil {
		return // the browser has left: nobody reads an answer, and nothing is wrong here
	}
	status := statusOf(err)
	if status >= http.StatusInternalServerError && status != http.StatusServiceUnavailable {
		p.o.Log.Error("page", "path", r.URL.Path, "err", err)
	}
	detail := r.words.Error(err)
	if r.byScript() {
		http.Error(w, detail, status)
		return
	}
	f := failure{Status: status, Missing: errors.Is(err, errNoPage), Detail: detail}
	if asks := (question{}); errors.As(err, &asks) {
		f.Ask = r.again()
	}
	w.WriteHeader(status)
	if err := p.write(w, r, "failure", f); err != nil {
		p.o.Log.Error("page", "path", r.URL.Path, "err", err)
	}
}

// statusOf finds the HTTP status of an error.
func statusOf(err error) int {
	var with *problem
	switch {
	case errors.As(err, &with):
		return with.status
	case errors.As(err, &question{}):
		return http.StatusPreconditionRequired
	case errors.Is(err, gauge.ErrUnknown):
		return http.StatusUnauthorized
	case errors.Is(err, gauge.ErrForbidden):
		return http.StatusForbidden
	case errors.Is(err, errNoPage), errors.Is(err, gauge.ErrNotFound):
		return http.StatusNotFound
	case errors.Is(err, gauge.ErrRefused):
		return http.StatusConflict
	case errors.Is(err, gauge.ErrInput):
		return http.StatusUnprocessableEntity
	case errors.Is(err, gauge.ErrStopped):
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

// byScript reports whether the page's own script sent a form and stays where it is.
func (r *request) byScript() bool { return r.Header.Get("X-Script") != "" }

// done answers a form that did what it should: a script stays where it is and
// hears of the change from its stream; else the browser is sent to a page.
func (r *request) done(w http.ResponseWriter, to string) error {
	if r.byScript() {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	http.Redirect(w, r.Request, to, http.StatusSeeOther)
	return nil
}

// number reads the number of a path's part.
func (r *request) number(name string) (uint64, error) {
	n, err := strconv.ParseUint(r.PathValue(name), 10, 64)
	if err != nil {
		return 0, errNoPage
	}
	return n, nil
}
