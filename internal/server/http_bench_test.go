package server

import (
	"io"
	"net/http"
	"testing"

	gaugedv1 "gauged/api/gauged/v1"
)

// BenchmarkCalls compares a small call over gRPC with the same over HTTP, and counts the
// streams of events that are held at once while it is made.
func BenchmarkCalls(b *testing.B) {
	r := newRig(b)
	h := serveHTTP(b, r.server, anyone)
	b.Run("gRPC", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.gauges.GetGauge(b.Context(), &gaugedv1.GetGaugeRequest{GaugeId: "line"}); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "calls/s")
	})
	over := func(b *testing.B) {
		for b.Loop() {
			got, err := h.client.Get(h.url + "/v1/gauges/line")
			if err != nil {
				b.Fatal(err)
			}
			if got.StatusCode != http.StatusOK {
				b.Fatal(got.Status)
			}
			if _, err := io.Copy(io.Discard, got.Body); err != nil { // so that the connection serves the next one
				b.Fatal(err)
			}
			_ = got.Body.Close()
		}
		b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "calls/s")
	}
	b.Run("HTTP", over)
	const held = 200
	for range held {
		h.watch("/v1/events/readings").next()
	}
	b.Run("HTTP beside streams", func(b *testing.B) {
		over(b)
		b.ReportMetric(held, "streams")
	})
}
