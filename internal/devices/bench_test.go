package devices

import (
	"bytes"
	"iter"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// BenchmarkDecode compares each kind of layout with a plain scan of the same
// bytes, which only adds them up.
func BenchmarkDecode(b *testing.B) {
	kinds := []struct {
		name   string
		layout *Layout
	}{
		{"text", layout(b, "signed-line")},
		{"text-with-unit", layout(b, "value-with-unit")},
		{"text-with-channel", layout(b, "channel-and-value")},
		{"binary-bits", layout(b, "clocked-bits")},
		{"bcd-digits", layout(b, "bcd-digits")},
		{"modbus-rtu", registers(b)},
		{"modbus-tcp", registers(b, "form: rtu", "form: tcp")},
	}
	for _, kind := range kinds {
		l := kind.layout
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
		b.Run(kind.name, func(b *testing.B) {
			b.SetBytes(int64(len(raw)))
			for b.Loop() {
				values := 0
				s := NewScanner(l, unit, func(o Outcome) {
					if o.Rejection == nil {
						values++
					}
				})
				s.Quiet()
				for piece := range pieces(l, raw) {
					s.Feed(piece, time.Time{})
					s.Quiet()
				}
				if values != frames {
					b.Fatalf("%d of %d frames gave a value", values, frames)
				}
			}
			b.ReportMetric(float64(frames)*float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
		b.Run(kind.name+"/plain-scan", func(b *testing.B) {
			b.SetBytes(int64(len(raw)))
			var total int
			for b.Loop() {
				for _, c := range raw {
					total += int(c)
				}
			}
			if total == 0 {
				b.Fatal("nothing was read")
			}
			b.ReportMetric(float64(frames)*float64(b.N)/b.Elapsed().Seconds(), "frames/s")
		})
	}
}

// pieces parts bytes where a gauge pauses between frames that only pauses tell apart.
func pieces(l *Layout, raw []byte) iter.Seq[[]byte] {
	if l.fixed > 0 {
		return slices.Chunk(raw, l.fixed)
	}
	return slices.Chunk(raw, len(raw))
}
