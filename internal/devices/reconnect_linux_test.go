package devices_test

import (
	"context"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/simulate"
)

// BenchmarkReconnect is the time from a gauge's plug being back to its first
// reading. The kernel gives no event for a pseudo-terminal, so this is what the
// periodic look alone achieves; the test on a real kernel has events.
func BenchmarkReconnect(b *testing.B) {
	line := simulate.NewLine(filepath.Join(b.TempDir(), "gauge"))
	if err := line.Plug(); err != nil {
		b.Fatal(err)
	}
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		b.Fatal(err)
	}
	layout, _ := layouts.Find("value-with-unit")
	g := devices.Gauge{ID: "dial", Layout: layout, Port: line.Link(), Line: devices.DefaultLine, Mode: gauge.ModeButton}
	read := make(chan struct{}, 1)
	sink := func(e devices.Event) {
		if e.Reading != nil {
			select {
			case read <- struct{}{}:
			default:
			}
		}
	}
	s := devices.NewSupervisor([]devices.Gauge{g}, devices.NewDialer(nil, g), nil, sink, slog.New(slog.DiscardHandler))
	ctx, cancel := context.WithCancel(b.Context())
	done := make(chan struct{})
	go func() { defer close(done); s.Run(ctx) }()
	defer func() { cancel(); <-done }()
	press := func() {
		for {
			if _, err := line.Write([]byte("+001.000 mm\r\n")); err != nil {
				b.Fatal(err)
			}
			select {
			case <-read:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}
	press()
	for b.Loop() {
		b.StopTimer()
		if err := line.Unplug(); err != nil {
			b.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond) // it has been seen
		for len(read) > 0 {
			<-read
		}
		b.StartTimer()
		if err := line.Plug(); err != nil {
			b.Fatal(err)
		}
		press()
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N), "ms/reconnect")
}
