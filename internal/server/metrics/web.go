package metrics

import (
	"errors"
	"fmt"
	"log"
	"log/slog"
	"net/http"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/words"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// NewWeb returns the HTTP server of a daemon: /metrics with the given metrics
// and those of the process, and a line of text at / that says so. The caller
// gives it a listener and shuts it down.
func NewWeb(m *Metrics, guard *access.Guard, log *slog.Logger) *http.Server {
	registry := prometheus.NewRegistry()
	registry.MustRegister(m, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	mux := routes(registry, slog.NewLogLogger(log.Handler(), slog.LevelWarn))
	return &http.Server{
		Handler: guard.Web(mux, access.Metrics, func(w http.ResponseWriter, subject string, way access.Way, err error) {
			refuse(guard, w, subject, way, err)
		}), ErrorLog: access.ErrorLog(log, slog.LevelWarn),
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
	}
}

// routes are what is served.
func routes(registry *prometheus.Registry, errorLog *log.Logger) *http.ServeMux {
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{ErrorLog: errorLog}))
	mux.HandleFunc("GET /healthz", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprintln(w, "ok") })
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprintln(w, "gauged is running; its metrics are at /metrics")
	})
	return mux
}

// refuse answers who may not come in.
func refuse(guard *access.Guard, w http.ResponseWriter, subject string, way access.Way, err error) {
	guard.Refused(subject, way, err)
	status := http.StatusForbidden
	if errors.Is(err, gauge.ErrUnknown) {
		status = http.StatusUnauthorized
		w.Header().Set("WWW-Authenticate", "Bearer")
	}
	http.Error(w, words.In(words.English).Error(err), status)
}
