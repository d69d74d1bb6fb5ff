// Package config reads the station's configuration and the layouts, procedures
// and part families that it names. The daemon starts from it, and the command
// line checks files with the same code.
package config

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"

	"gauged/internal/access"
	"gauged/internal/devices"
	"gauged/internal/dial"
	"gauged/internal/evaluate/formula"
	"gauged/internal/exits/mqtt"
	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/library"
	"gauged/internal/shopfile"
	"gauged/internal/traces"
)

// Config is a station's configuration with everything that it names.
type Config struct {
	Station string // the station's name, for people and logs
	Shop    gauge.Shop
	GRPC    []string // unix:///path or a loopback host:port
	Metrics string   // loopback host:port; empty: no metrics
	Page    string   // loopback host:port of the bench page; empty: no page
	HTTP    string   // host:port of the calls over HTTP with JSON; empty: they are not served
	History string   // path of the history
	Access  access.Rules
	// AccessNames are the names that Access gives to users, groups and certificates.
	AccessNames []access.PlacedName
	TLS         access.TLS
	// EvaluatorFiles are what is shown to the evaluator, and trusted of it.
	EvaluatorFiles dial.Files
	Evaluator      string // address of the daemon that runs the jobs; empty: this one
	Gauges         []devices.Gauge
	Switches       []devices.Switch
	Library        *library.Library
	Files          LibraryFiles
	Masters        map[string]check.Master
	Plans          map[string]*check.Plan
	Webhooks       []webhook.Hook
	Brokers        []mqtt.Broker
	Traces         traces.Collector // of jobs and calls; without an address they go nowhere
}

// Load reads the configuration at path and every file that it names. Relative
// paths in it are relative to its directory. getenv finds the directories of
// defaults. The error lists every problem of every file; it is that of ctx once ctx has ended.
func Load(ctx context.Context, path string, getenv func(string) string) (*Config, error) {
	content, err := shopfile.ReadFile(path)
	if err != nil {
		return nil, err
	}
	doc := shopfile.Parse(path, content)
	l := loader{ended: ctx.Err, dir: filepath.Dir(path), getenv: getenv}
	c := l.read(doc.Root())
	if err := errors.Join(once(errors.Join(append([]error{doc.Err()}, l.errs...)...))...); err != nil {
		return nil, err
	}
	return c, nil
}

type loader struct {
	ended  func() error
	dir    string
	getenv func(string) string
	errs   []error // of other files
}

func (l *loader) read(v shopfile.Value) *Config {
	m := v.Map()
	c := &Config{Station: m.Need("station").Word()}
	c.Shop = readShop(m.Get("shop"))
	tls := m.Get("tls")
	c.TLS = l.tls(tls)
	c.Access, c.AccessNames = readAccess(m.Get("access"))
	l.listen(c, m.Get("listen"))
	c.History = l.defaultHistory()
	if history := m.Get("history"); history.Given() {
		c.History = l.path(history.Text())
	}
	l.evaluator(c, m.Get("evaluator"))
	c.TLS.Dir = filepath.Join(filepath.Dir(c.History), "tls")
	layouts := l.layouts(m.Get("layouts"))
	c.Gauges = devices.ReadGauges(m.Get("gauges"), l.dir, layouts.Find)
	c.Switches = devices.ReadSwitches(m.Get("switches"), c.Gauges)
	if c.Evaluator != "" {
		m.Get("switches").Wrong(gauge.Say("station.evaluator-switches", shopfile.Quoted("evaluator", c.Evaluator)))
	}
	c.Masters = masters(m.Get("masters"))
	ids := map[string]bool{}
	for _, g := range c.Gauges {
		ids[g.ID] = true
	}
	c.Plans = plans(m.Get("checks"), ids, c.Masters)
	c.Webhooks = l.webhooks(m.Get("webhooks"))
	c.Brokers = l.brokers(m.Get("mqtt"), c.Station, c.Webhooks)
	c.Traces = l.traces(m.Get("traces"))
	l.library(c, m)
	if c.Page != "" && c.Evaluator != "" {
		m.Get("evaluator").Wrong(gauge.Say("station.evaluator-page", shopfile.Quoted("evaluator", c.Evaluator)))
	}
	m.Done()
	return c
}

func (l *loader) listen(c *Config, v shopfile.Value) {
	c.GRPC = []string{DefaultAddress(l.getenv)}
	if !v.Given() {
		return
	}
	m := v.Map()
	if grpc := m.Get("grpc"); grpc.Given() {
		c.GRPC = nil
		for _, address := range grpc.Texts() {
			if path, unix := strings.CutPrefix(address, "unix://"); unix {
				address = "unix://" + l.path(path)
			}
			c.GRPC = append(c.GRPC, address)
		}
	}
	c.Metrics = m.Get("metrics").Text()
	c.Page = m.Get("page").Text()
	c.HTTP = m.Get("http").Text()
	listeners(c, m.Get("grpc"), m.Get("metrics"), m.Get("page"), m.Get("http"))
	m.Done()
}

// listeners checks where the daemon is to listen: TCP addresses that it would
// refuse, and an address for two doors.
func listeners(c *Config, doors ...shopfile.Value) {
	taken := map[string]shopfile.Value{}
	for _, door := range doors {
		for _, at := range door.Items() {
			address := at.Text()
			if address == "" {
				continue
			}
			if !strings.HasPrefix(address, "unix://") {
				if err := access.CheckAddress(address, c.TLS.Given()); err != nil {
					at.Wrong(gauge.Told(err))
					continue
				}
				if c.Access.Open && access.CheckLoopback(address) != nil {
					at.Wrong(gauge.Say("station.open-to-others", shopfile.Quoted("address", address)))
				}
			}
			if before, twice := taken[address]; twice {
				at.Wrong(gauge.Say("station.port-twice", shopfile.Quoted("address", address), gauge.Text("at", before.Position())))
			}
			taken[address] = at
		}
	}
}

// library reads procedures and part families. A station that hands its
// readings to an evaluator has none.
func (l *loader) library(c *Config, m *shopfile.Map) {
	procedures, parts := m.Get("procedures"), m.Get("parts")
	if c.Evaluator != "" {
		for _, v := range []shopfile.Value{procedures, parts} {
			v.Wrong(gauge.Say("station.evaluator-library", shopfile.Quoted("evaluator", c.Evaluator)))
		}
	}
	for _, name := range procedures.Texts() {
		c.Files.Procedures = append(c.Files.Procedures, l.path(name))
	}
	for _, name := range parts.Texts() {
		c.Files.Parts = append(c.Files.Parts, l.path(name))
	}
	files, err := library.New(l.ended, l.files(procedures), l.files(parts))
	if err != nil {
		l.errs = append(l.errs, err)
	}
	c.Library = files
}

// LibraryFiles is where the library stands: files, or directories whose *.yaml
// files are meant.
type LibraryFiles struct{ Procedures, Parts []string }

// Read reads the library from disk as it is now. The error lists every problem
// of every file.
func (f LibraryFiles) Read(ctx context.Context) (*library.Library, error) {
	var errs []error
	read := func(paths []string) (files []library.Source) {
		for _, path := range paths {
			found, err := readFiles(path)
			errs = append(errs, err)
			files = append(files, found...)
		}
		return files
	}
	procedures, parts := read(f.Procedures), read(f.Parts)
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	return library.New(ctx.Err, procedures, parts)
}

func (l *loader) layouts(v shopfile.Value) devices.Layouts {
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		l.errs = append(l.errs, err)
		return devices.Layouts{}
	}
	for _, file := range l.files(v) {
		layout, err := devices.ParseLayout(file.Path, file.Content)
		if err == nil {
			err = layouts.Add(layout)
		} else {
			layouts.Broken(shopfile.NameIn(file.Content, "layout"))
		}
		if err != nil {
			l.errs = append(l.errs, err)
		}
	}
	return layouts
}

// files reads the YAML files that a value names: files, or directories whose
// *.yaml files are meant.
func (l *loader) files(v shopfile.Value) []library.Source {
	var files []library.Source
	for _, name := range v.Texts() {
		found, err := readFiles(l.path(name))
		if err != nil {
			v.Wrong(gauge.Told(err))
		}
		files = append(files, found...)
	}
	return files
}

func (l *loader) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(l.dir, name)
}

// ReadFile reads a file with the tables that it keeps in files of their own beside it:
// the text of its version.
func ReadFile(path string) ([]byte, error) {
	content, err := shopfile.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return formula.WithTables(path, content, shopfile.ReadFile)
}

// What is read of the files that a path stands for; each of them has at most
// shopfile.MaxSize bytes, the tables beside it included.
const (
	mostFiles = 1000
	mostBytes = 32 << 20
)

// readFiles reads a file, or the *.yaml files of a directory in order.
func readFiles(path string) ([]library.Source, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	paths := []string{path}
	if info.IsDir() {
		if paths, err = filepath.Glob(filepath.Join(path, "*.yaml")); err != nil {
			return nil, err
		}
		if len(paths) == 0 {
			return nil, gauge.WrongInput("station.no-files", gauge.Text("directory", path))
		}
		if len(paths) > mostFiles {
			return nil, gauge.Refused("station.files-many", gauge.Text("directory", path), gauge.Count("files", len(paths)), gauge.Count("most", mostFiles))
		}
	}
	var files []library.Source
	size := 0
	for _, p := range paths {
		content, err := ReadFile(p)
		if err != nil {
			return nil, err
		}
		if size += len(content); size > mostBytes {
			return nil, gauge.Refused("station.files-large", gauge.Text("directory", path), gauge.Count("most", mostBytes>>20))
		}
		files = append(files, library.Source{Path: p, Content: content})
	}
	return files, nil
}
