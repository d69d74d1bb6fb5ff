package export

import (
	"io"
	"runtime"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// BenchmarkForms writes readings in each form: rows a second, bytes a row, and the heap
// that is in use at the end, which is to stay the same however many there are.
func BenchmarkForms(b *testing.B) {
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for _, form := range forms {
		b.Run(form, func(b *testing.B) {
			size := counted(0)
			w, err := newWriter(form, &size, columnsOf(&pb.Reading{}))
			if err != nil {
				b.Fatal(err)
			}
			for n := range b.N {
				shown := gauge.Length(n%20_000_000 - 10_000_000)
				r := &pb.Reading{Seq: uint64(n + 1), GaugeId: "depth", Number: uint64(n + 1), Time: timestamppb.New(at.Add(time.Duration(n) * 100 * time.Millisecond)), Status: pb.ReadingStatus_READING_STATUS_OK}
				r.Value = wire.Quantity(shown*1000, (shown*1000).Text(gauge.Millimetre, 3), gauge.Millimetre)
				if err := w.write(r); err != nil {
					b.Fatal(err)
				}
			}
			if err := w.end(); err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "rows/s")
			b.ReportMetric(float64(size)/float64(b.N), "bytes/row")
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.HeapInuse)/(1<<20), "MB-in-use")
		})
	}
}

// counted counts what is written to it.
type counted int

func (c *counted) Write(p []byte) (int, error) { *c += counted(len(p)); return io.Discard.Write(p) }
