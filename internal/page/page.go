package page

import (
	"context"
	"log/slog"
	"net"
	"net/http"
	"runtime/debug"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/page/assets"
	"gauged/internal/page/guard"
	"gauged/internal/page/memory"
	"gauged/internal/page/running"
	"gauged/internal/page/signin"
	"gauged/internal/shelf"
	"gauged/internal/station"
	"gauged/internal/words"
)

// Options is what a page is made from.
type Options struct {
	Station *station.Station
	Files   *shelf.Shelf // of the procedures and part families
	Name    string       // of the station, for people
	Shop    gauge.Shop
	Guard   *access.Guard   // knows who comes; nil: it knows nobody
	Pairing *access.Pairing // the code with which a device may come in; nil: none may
	Tries   string          // file in which wrong tries are remembered; empty: a restart forgets them
	Log     *slog.Logger
	Now     func() time.Time
}

// Page is the bench page of one station.
type Page struct {
	o         Options
	catalogue *words.Catalogue
	templates templates
	desk      *signin.Desk
	assets    assets.Assets
	drafts    running.Drafts[running.Check]
	studies   running.Drafts[studyDraft]
	motions   running.Motions
	acts      acts // on jobs
	takes     acts // into studies
	began     time.Time
}

// New reads the texts, templates and assets.
func New(o Options) (*Page, error) {
	p := &Page{o: o, began: time.Now()}
	var err error
	if p.catalogue, err = words.Load(); err != nil {
		return nil, err
	}
	if p.assets, err = assets.Load(); err != nil {
		return nil, err
	}
	if p.templates, err = loadTemplates(p.catalogue, p.assets); err != nil {
		return nil, err
	}
	if o.Pairing == nil {
		o.Pairing = &access.Pairing{}
	}
	p.desk = signin.New(signin.Options{
		Guard: o.Guard, Pairing: o.Pairing, Tries: o.Tries,
		Ask: p.ask, Fail: func(w http.ResponseWriter, r *http.Request, err error) { p.fail(w, p.requested(r), err) },
	})
	return p, nil
}

// Handler returns the page's handler.
func (p *Page) Handler() http.Handler {
	mux := http.NewServeMux()
	p.routes(mux)
	return guard.Guarded(p.catching(p.desk.Guard(mux)))
}

// catching logs a fault of the daemon and answers it, where else the connection
// would end without a word.
func (p *Page) catching(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if fault := recover(); fault != nil && fault != http.ErrAbortHandler {
				p.o.Log.Error("a page panicked; this is a fault of the daemon", "page", r.URL.Path, "panic", fault, "stack", string(debug.Stack()))
				http.Error(w, "a fault of the daemon; its log says more", http.StatusInternalServerError)
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// Server returns a server of the page, for loopback listeners. The caller gives
// it listeners and shuts it down; the streams end when that begins.
func (p *Page) Server() *http.Server {
	ctx, cancel := context.WithCancel(context.Background())
	s := &http.Server{
		Handler: p.Handler(), ErrorLog: access.ErrorLog(p.o.Log, slog.LevelDebug),
		// Streams stay open: what is written is bounded there.
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
		BaseContext:    func(net.Listener) context.Context { return ctx },
	}
	s.RegisterOnShutdown(cancel)
	return s
}

// routes names every address that is served, in the files of their views.
func (p *Page) routes(mux *http.ServeMux) {
	mux.Handle("GET /assets/{version}/{name}", p.assets)
	mux.Handle("POST /settings", http.HandlerFunc(memory.Save))
	p.desk.Routes(mux)
	mux.Handle("GET /troubles/stream", p.handle(p.streamTroubles))
	p.startRoutes(mux)
	p.jobsRoutes(mux)
	p.jobRoutes(mux)
	p.sheetRoutes(mux)
	p.gaugesRoutes(mux)
	p.gaugeRoutes(mux)
	p.checkRoutes(mux)
	p.studyRoutes(mux)
	p.studiedRoutes(mux)
	p.recallRoutes(mux)
	p.procedureRoutes(mux)
	p.editRoutes(mux)
	mux.Handle("/", p.handle(func(http.ResponseWriter, *request) error { return errNoPage }))
}

// uptime counts the signs of life that a stream gives, in milliseconds since the page
// began to be served.
func (p *Page) uptime() int64 { return time.Since(p.began).Milliseconds() }
