package drift

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"testing"
	"time"
)

// FuzzReview: whatever valid checks say, a review of them can be written as
// JSON, which knows no infinite numbers.
func FuzzReview(f *testing.F) {
	f.Add([]byte("0123456789abcdefghijklmnopqrstuvwxyz0123456789abcdefghijklmnopqrstuvwxyz0123456789"), 1.0)
	f.Add(make([]byte, 90), 0.0)
	f.Add([]byte{255, 127, 1, 0, 128, 3, 5, 7, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3, 4, 5, 6, 7, 8, 9, 4, 4, 2, 2, 9, 9}, 1e-9)
	f.Fuzz(func(t *testing.T, data []byte, mpe float64) {
		var checks []Check
		now := start
		for ; len(data) >= 6 && len(checks) < 200; data = data[6:] {
			now = now.Add(time.Duration(data[0]) * time.Hour)
			c := Check{Time: now, Found: math.Ldexp(float64(int16(binary.LittleEndian.Uint16(data[1:]))), int(data[3])/2-60)}
			if data[4]&1 > 0 {
				c.Uncertainty = math.Ldexp(1, int(data[4])/8-10)
			}
			if data[4]&6 == 6 {
				c.Left = left(float64(int8(data[5])))
			}
			if data[5]&1 > 0 {
				c.Spread, c.Repeats = float64(data[5]), 2+int(data[4])
			}
			c.Uses = float64(len(checks) * 3)
			checks = append(checks, c)
		}
		r, err := NewReview(checks, Options{MPE: mpe})
		if err != nil {
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatalf("%v\n%+v", err, r)
		}
	})
}
