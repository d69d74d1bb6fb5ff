package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"google.golang.org/grpc/stats"

	"gauged/internal/access"
	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/exits"
	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/library"
	"gauged/internal/page"
	"gauged/internal/server"
	"gauged/internal/server/forward"
	"gauged/internal/server/metrics"
	"gauged/internal/server/web"
	"gauged/internal/shelf"
	"gauged/internal/station"
	"gauged/internal/traces"
	"gauged/internal/words"
)

// shutdownTime is how long calls may still run when the daemon stops.
const shutdownTime = 3 * time.Second

// serve runs the daemon until ctx ends or a part of it fails. What it starts it
// ends in the opposite order, so that nothing is lost: see stop.
func serve(ctx context.Context, c *config.Config, read readConfig, hangup <-chan os.Signal, log *slog.Logger) (err error) {
	d := &daemon{log: log, read: read, hangup: hangup, failed: make(chan error, 8)}
	defer func() { err = errors.Join(err, d.stop()) }()
	if err := d.start(ctx, c); err != nil {
		return err
	}
	notify(log, ready)
	log.Info("ready", "station", c.Station, "grpc", c.GRPC, "metrics", c.Metrics, "page", c.Page, "http", c.HTTP, "history", c.History,
		"gauges", len(c.Gauges), "procedures", len(c.Library.Procedures()), "version", version())
	go watchdog(ctx, log)
	select {
	case <-ctx.Done():
		log.Info("stopping")
		return nil
	case err := <-d.failed:
		return err
	}
}

// readConfig reads the station's configuration again.
type readConfig func(context.Context) (*config.Config, error)

// daemon is what runs, in the order in which it was started.
type daemon struct {
	log    *slog.Logger
	read   readConfig
	hangup <-chan os.Signal
	failed chan error     // parts that ended by themselves
	secure *access.Secure // nil: there are no certificates
	calls  stats.Handler  // sees the calls, for traces; nil: they go nowhere
	ends   []end
}

// end is one step of stopping.
type end struct {
	name string
	do   func() error
}

// onStop registers the end of something that has just been started.
func (d *daemon) onStop(name string, do func() error) { d.ends = append(d.ends, end{name, do}) }

// stop undoes the start from its last step to its first: the server takes no
// new calls and ends its streams, the gauges' lines are closed, what has
// arrived is stored, the history is closed.
func (d *daemon) stop() error {
	notify(d.log, stopping)
	var errs []error
	for i := len(d.ends) - 1; i >= 0; i-- {
		begin := time.Now()
		if err := d.ends[i].do(); err != nil {
			errs = append(errs, fmt.Errorf("%s: %w", d.ends[i].name, err))
		}
		d.log.Info("stopped", "part", d.ends[i].name, "took", time.Since(begin).Round(time.Millisecond))
	}
	return errors.Join(errs...)
}

func (d *daemon) start(ctx context.Context, c *config.Config) error {
	store, err := openHistory(ctx, c.History)
	if err != nil {
		return err
	}
	d.onStop("history", store.Close)
	return d.startStation(ctx, c, store)
}

// openHistory opens the history at path and makes its directory. Where the daemon
// may not write, it says what to do.
func openHistory(ctx context.Context, path string) (*history.Store, error) {
	dir := filepath.Dir(path)
	err := os.MkdirAll(dir, 0o755)
	if err == nil {
		var store *history.Store
		if store, err = history.Open(ctx, path); err == nil {
			return store, nil
		}
	}
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.EROFS) {
		return nil, cannotKeep(path, err)
	}
	return nil, err
}

func cannotKeep(path string, err error) error {
	return gauge.At(err, "station.cannot-keep", gauge.Text("history", path), gauge.Count("user", os.Getuid()), gauge.Text("directory", filepath.Dir(path)))
}

func (d *daemon) startStation(ctx context.Context, c *config.Config, store *history.Store) error {
	commits := metrics.NewCommits()
	if c.TLS.Given() {
		var err error
		if d.secure, err = access.Secured(c.TLS, time.Now, d.log); err != nil {
			return err
		}
		c.Access.Certified = d.secure.Names
	}
	var l *lines
	var files *shelf.Shelf
	var out *exits.Exits
	st, err := station.New(ctx, station.Options{
		Name: c.Station, Store: store, Gauges: gaugeInfos(c.Gauges, c.Switches), Library: c.Library, Masters: c.Masters, Plans: c.Plans, Proven: !c.Access.Open, Now: time.Now, OnCommit: commits.Observe,
		Edited: func(ctx context.Context, f library.File) bool { return files.Edited(ctx, f) },
		OnDamage: func(why error) {
			d.log.Error("what is stored is damaged, and is set aside", "err", words.In(words.English).Error(why))
		},
		Ask: func(ctx context.Context, id string) error { return l.ask(ctx, id) },
		Besides: func() []gauge.Message {
			if d.secure == nil {
				return out.Troubles()
			}
			return append(out.Troubles(), d.secure.Troubles()...)
		},
	})
	if err != nil {
		return err
	}
	handed := outside{c.Station, store, st, d.log}
	out = handed.newExits(ctx, c)
	files = shelf.New(st, c.Files.Read)
	l = newLines(c, st, d.log)
	d.background("station", st.Run)
	d.background("troubles", (&troubles{look: st.Archive.Troubles, log: d.log}).run)
	d.background("gauges", l.run)
	d.background("exits", out.Run)
	o := metrics.Options{Station: st, Exits: out.All, Commits: commits, Version: version(), Now: time.Now, Log: d.log}
	if c.Evaluator != "" {
		o.Forwarder, err = forward.New(forward.Options{Station: st, Address: c.Evaluator, Files: c.EvaluatorFiles, Log: d.log})
		if err != nil {
			return err
		}
		d.background("link to the evaluator", o.Forwarder.Run)
	}
	if c.Traces.Given() {
		told, err := traces.New(ctx, traces.Options{Collector: c.Traces, History: st, Store: store, Station: c.Station, Version: version(), Now: time.Now, Log: d.log})
		if err != nil {
			return err
		}
		d.background("traces", told.Run)
		d.calls = told.Calls()
	}
	m := metrics.New(o)
	d.background("metrics", m.Run)
	again := &reloader{read: d.read, inForce: c, station: st, files: files, lines: l, exits: out, outside: handed, log: d.log}
	d.background("reload", func(ctx context.Context) { again.run(ctx, d.hangup) })
	return d.listen(c, st, files, out, m, store)
}

// background runs a part until the daemon stops.
func (d *daemon) background(name string, run func(context.Context)) {
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		run(ctx)
	}()
	d.onStop(name, func() error {
		cancel()
		<-done
		return nil
	})
}

// listen opens every listener before the first call is served.
func (d *daemon) listen(c *config.Config, st *station.Station, files *shelf.Shelf, out *exits.Exits, m *metrics.Metrics, store *history.Store) error {
	guard := &access.Guard{Rules: c.Access, Register: st.Register, Now: time.Now, Change: st.ChangeAccess, Changed: st.AccessChanged, Log: d.log}
	secure := d.secure
	if guard.Open() {
		d.log.Warn(words.In(words.English).Tell(c.IsOpen()))
	}
	for _, alike := range st.Register().LooksAlike(c.AccessNames) {
		d.log.Warn("a name in the station's file cannot be told apart", "error", alike)
	}
	var listeners []net.Listener
	doors := access.NewConnections(len(devices.ByLine(c.Gauges)), d.log)
	for _, address := range c.GRPC {
		l, err := listenAt(address, doors, secure)
		if err != nil {
			return errors.Join(err, closeAll(listeners))
		}
		listeners = append(listeners, l)
	}
	if c.Metrics != "" {
		l, err := doors.Listen(c.Metrics, secure, "http/1.1")
		if err != nil {
			return errors.Join(err, closeAll(listeners))
		}
		web := metrics.NewWeb(m, guard, d.log)
		web.Handler = c.Access.Proxied(web.Handler)
		d.serve("http", func() error { return web.Serve(l) }, web.Shutdown)
	}
	var pairing *access.Pairing // nil: there is no page to pair a device with
	if c.Page != "" {
		pairing = &access.Pairing{}
		if err := d.startPage(c, st, files, pairing, guard, doors, secure); err != nil {
			return errors.Join(err, closeAll(listeners))
		}
	}
	info := server.Info{Name: c.Station, Shop: c.Shop, Version: version(), Started: time.Now(), Languages: languages(), Size: func(ctx context.Context) (int, int64, error) {
		size, err := store.Size(ctx)
		return size.Schema, size.Bytes, err
	}}
	s := server.New(server.Options{Station: st, Guard: guard, Pairing: pairing, Files: files, Exits: out, Calls: d.calls, Log: d.log, Info: info})
	if c.HTTP != "" {
		if err := d.startHTTP(c, s, guard, doors, secure); err != nil {
			return errors.Join(err, closeAll(listeners))
		}
	}
	d.serve("gRPC", func() error { return s.Serve(listeners...) }, s.Shutdown)
	return nil
}

// languages are the tags of the languages that the daemon has texts in.
func languages() (tags []string) {
	for _, l := range words.Languages {
		tags = append(tags, string(l.Tag))
	}
	return tags
}

func (d *daemon) startPage(c *config.Config, st *station.Station, files *shelf.Shelf, pairing *access.Pairing, guard *access.Guard, doors *access.Connections, secure *access.Secure) error {
	pages, err := page.New(page.Options{Station: st, Files: files, Name: c.Station, Shop: c.Shop, Guard: guard, Pairing: pairing, Tries: c.History + ".tries", Log: d.log, Now: time.Now})
	if err != nil {
		return err
	}
	l, err := doors.Listen(c.Page, secure, "http/1.1")
	if err != nil {
		return err
	}
	web := pages.Server()
	web.Handler = c.Access.Proxied(web.Handler)
	d.serve("page", func() error { return web.Serve(l) }, web.Shutdown)
	return nil
}

// startHTTP serves the calls of a server over HTTP with JSON too.
func (d *daemon) startHTTP(c *config.Config, s *server.Server, guard *access.Guard, doors *access.Connections, secure *access.Secure) error {
	calls, err := web.NewServer(web.Options{Inside: s.Inside, Guard: guard, Log: d.log})
	if err != nil {
		return err
	}
	l, err := doors.Listen(c.HTTP, secure, "http/1.1")
	if err != nil {
		return err
	}
	calls.Handler = c.Access.Proxied(calls.Handler)
	d.serve("HTTP", func() error { return calls.Serve(l) }, calls.Shutdown)
	return nil
}

// serve runs a server until the daemon stops; calls that still run then get
// shutdownTime before they are cut off.
func (d *daemon) serve(name string, serve func() error, shutdown func(context.Context) error) {
	done := make(chan struct{})
	go func() {
		defer close(done)
		if err := serve(); err != nil && !errors.Is(err, http.ErrServerClosed) {
			d.failed <- fmt.Errorf("%s: %w", name, err)
		}
	}()
	d.onStop(name, func() error {
		ctx, cancel := context.WithTimeout(context.Background(), shutdownTime)
		defer cancel()
		if err := shutdown(ctx); err != nil {
			d.log.Warn("calls were cut off", "part", name, "after", shutdownTime, "err", err)
		}
		<-done
		return nil
	})
}

// listenAt opens a unix socket or a port.
func listenAt(address string, doors *access.Connections, secure *access.Secure) (net.Listener, error) {
	if path, unix := strings.CutPrefix(address, "unix://"); unix {
		l, err := access.ListenUnix(path)
		if err != nil {
			return nil, err
		}
		return doors.At(l), nil
	}
	return doors.Listen(address, secure, "h2")
}

func closeAll(listeners []net.Listener) error {
	var errs []error
	for _, l := range listeners {
		errs = append(errs, l.Close())
	}
	return errors.Join(errs...)
}
