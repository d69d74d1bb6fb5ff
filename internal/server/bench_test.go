package server

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	healthv1 "google.golang.org/grpc/health/grpc_health_v1"

	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

// mostUnacknowledged is how many messages the benchmark's sender is ahead.
const mostUnacknowledged = 16

// BenchmarkIngest sends readings over a unix socket and waits until the last is
// durable. BenchmarkBareSQLite of the history is what to compare it with.
func BenchmarkIngest(b *testing.B) {
	for _, size := range []int{100, 500} {
		b.Run(fmt.Sprint(size), func(b *testing.B) {
			r := newRig(b)
			stream, _ := r.open(b.Context(), "program")
			messages := make([]*gaugedv1.IngestReadingsRequest, mostUnacknowledged+1)
			for i := range messages {
				messages[i] = &gaugedv1.IngestReadingsRequest{Readings: given(1, size)}
				for _, m := range messages[i].GetReadings() {
					m.Raw = []byte(m.GetShown() + " mm\r\n")
				}
			}
			sent, durable := uint64(0), uint64(0)
			for n := 0; b.Loop(); n++ {
				for sent-durable > uint64(mostUnacknowledged*size) {
					durable = acknowledged(b, stream).GetDurableThroughSeq()
				}
				m := messages[n%len(messages)]
				for _, reading := range m.GetReadings() {
					sent++
					reading.SourceSeq = sent
				}
				send(b, stream, m)
			}
			for durable < sent {
				durable = acknowledged(b, stream).GetDurableThroughSeq()
			}
			b.ReportMetric(float64(sent)/b.Elapsed().Seconds(), "readings/s")
		})
	}
}

// BenchmarkWatch takes the time from a report of a gauge to the watcher that
// gets it after it was stored.
func BenchmarkWatch(b *testing.B) {
	r := newRig(b)
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	stream, _ := r.watch(ctx, &gaugedv1.WatchReadingsRequest{})
	var took []time.Duration
	for b.Loop() {
		begin := time.Now()
		r.Report(station.Report{Reading: reading("line", "1.25")})
		if _, err := stream.Recv(); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(begin))
	}
	reportPercentiles(b, took)
}

// BenchmarkPingPong is a call over the same socket that does nothing.
func BenchmarkPingPong(b *testing.B) {
	r := newRig(b)
	client := healthv1.NewHealthClient(r.conn)
	var took []time.Duration
	for b.Loop() {
		begin := time.Now()
		if _, err := client.Check(b.Context(), &healthv1.HealthCheckRequest{}); err != nil {
			b.Fatal(err)
		}
		took = append(took, time.Since(begin))
	}
	reportPercentiles(b, took)
}

func reportPercentiles(b *testing.B, took []time.Duration) {
	b.Helper()
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds()), "p50-us")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds()), "p99-us")
}
