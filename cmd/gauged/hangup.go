package main

import (
	"context"
	"log/slog"
	"os"
	"reflect"
	"slices"

	"gauged/internal/config"
	"gauged/internal/devices"
	"gauged/internal/exits"
	"gauged/internal/shelf"
	"gauged/internal/station"
)

// reloader reads everything that a shop wrote again at each SIGHUP, as a service manager
// asks for it: the station's configuration, layouts, procedures and part families. Where
// one of them has a problem nothing changes, and the log says so.
type reloader struct {
	read    func(context.Context) (*config.Config, error)
	inForce *config.Config
	station *station.Station
	files   *shelf.Shelf
	lines   *lines
	exits   *exits.Exits
	outside outside
	log     *slog.Logger
}

// run waits for the signals until ctx ends.
func (r *reloader) run(ctx context.Context, hangup <-chan os.Signal) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-hangup:
		}
		if err := r.reload(ctx); err != nil {
			r.log.Error("SIGHUP: nothing was put in force, and what was in force stays so", "err", err)
		}
	}
}

func (r *reloader) reload(ctx context.Context) error {
	next, err := r.read(ctx)
	if err != nil {
		return err
	}
	later := later(r.inForce, next)
	files := 0
	if !slices.Contains(later, "evaluator") {
		changed, err := r.files.Renew(ctx, next.Files.Read)
		if err != nil {
			return err
		}
		files = len(changed)
	}
	c := station.Configuration{Masters: next.Masters, Plans: next.Plans}
	if !slices.Contains(later, "gauges") {
		c.Gauges = gaugeInfos(next.Gauges, r.inForce.Switches)
	}
	if err := r.station.Configure(ctx, c); err != nil {
		return err
	}
	r.inForce.Masters, r.inForce.Plans = next.Masters, next.Plans
	r.exits.Set(ctx, r.outside.definitions(next))
	gauges := 0
	if c.Gauges != nil {
		gauges = r.lines.change(ctx, next.Gauges)
		r.inForce.Gauges = next.Gauges
	}
	r.log.Info("SIGHUP: all files were read again", "changed", files, "gauges", gauges)
	if len(later) > 0 {
		r.log.Warn("SIGHUP: some changes of the configuration take effect at the next start of the daemon", "keys", later)
	}
	return nil
}

// later is the keys of a configuration whose changes need another start.
func later(now, next *config.Config) (keys []string) {
	for _, k := range []struct {
		key  string
		same bool
	}{
		{"station", now.Station == next.Station},
		{"shop", now.Shop == next.Shop},
		{"listen", reflect.DeepEqual([]any{now.GRPC, now.Metrics, now.Page, now.HTTP}, []any{next.GRPC, next.Metrics, next.Page, next.HTTP})},
		{"access", reflect.DeepEqual(now.Access, next.Access)},
		{"tls", reflect.DeepEqual(now.TLS, next.TLS)},
		{"history", now.History == next.History},
		{"evaluator", now.Evaluator == next.Evaluator && now.EvaluatorFiles == next.EvaluatorFiles},
		{"gauges", slices.EqualFunc(now.Gauges, next.Gauges, sameKind)},
		{"traces", reflect.DeepEqual(now.Traces, next.Traces)},
		{"switches", reflect.DeepEqual(now.Switches, next.Switches)},
	} {
		if !k.same {
			keys = append(keys, k.key)
		}
	}
	return keys
}

// sameKind reports whether one gauge can take the place of another while jobs run. What
// feeds it, and what its button does, it does from its first reading on.
func sameKind(a, b devices.Gauge) bool {
	return a.ID == b.ID && a.Outside == b.Outside && a.Typed == b.Typed && a.Mode == b.Mode && a.Press == b.Press && a.Unit == b.Unit
}
