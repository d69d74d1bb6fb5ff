package metrics

import (
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// NewWeb returns the HTTP server of a daemon: /metrics with the given metrics
// and those of the process, and a line of text at / that says so. The caller
// gives it a listener and shuts it down.
func NewWeb(m *Metrics, log *slog.Logger) *http.Server {
	registry := prometheus.NewRegistry()
	registry.MustRegister(m, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	errorLog := slog.NewLogLogger(log.Handler(), slog.LevelWarn)
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", promhttp.HandlerFor(registry, promhttp.HandlerOpts{ErrorLog: errorLog}))
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) {
		fmt.Fprintln(w, "gauged is running; its metrics are at /metrics")
	})
	return &http.Server{
		Handler: mux, ErrorLog: errorLog,
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 30 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10,
	}
}
