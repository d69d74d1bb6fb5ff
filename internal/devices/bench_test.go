package devices

import (
	"bytes"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// BenchmarkDecode compares each shipped layout with a plain search for the
// ends of the lines in the same bytes.
func BenchmarkDecode(b *testing.B) {
	for _, name := range []string{"signed-line", "value-with-unit", "request-reply"} {
		l := layout(b, name)
		var one []byte
		for _, e := range l.good {
			one = append(append(one, e.frame...), e.end...)
		}
		raw := bytes.Repeat(one, 1000)
		frames := 1000 * len(l.good)
		unit := gauge.UnitUnknown
		if !l.UnitInFrame() {
			unit = gauge.Millimetre
		}
		b.Run(name+"/scanner", func(b *testing.B) {
			b.SetBytes(int64(len(raw)))
			for b.Loop() {
				values := 0
				s := NewScanner(l, unit, func(o Outcome) {
					if o.Rejection == nil {
						values++
					}
				})
				s.Feed(raw, time.Time{})
				if values != frames {
					b.Fatalf("%d of %d frames gave a value", values, frames)
				}
			}
			b.ReportMetric(float64(frames)*float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
		b.Run(name+"/bytes", func(b *testing.B) {
			b.SetBytes(int64(len(raw)))
			for b.Loop() {
				lines := 0
				for rest := raw; len(rest) > 0; lines++ {
					_, rest, _ = bytes.Cut(rest, []byte("\r"))
				}
				if lines < frames {
					b.Fatalf("%d lines", lines)
				}
			}
		})
	}
}
