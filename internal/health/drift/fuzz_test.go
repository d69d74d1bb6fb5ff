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
			switch data[4] & 6 {
			case 6:
				c.Left = left(float64(int8(data[5])))
			case 4:
				c.Adjusted = data[5]&16 > 0
			}
			if data[4]&8 > 0 {
				c.Shared = c.Uncertainty * 3
			}
			c.Verdict, c.Aside = []Verdict{"", Passed, Failed, Undecided}[data[5]>>6], data[5]&32 > 0
			if data[5]&1 > 0 {
				c.Spread, c.Repeats = float64(data[5]), 2+int(data[4])
			}
			c.Uses = float64(len(checks) * 3)
			checks = append(checks, c)
		}
		if len(checks) == 0 {
			return
		}
		half := (len(checks) + 1) / 2
		g, err := NewGauge([]Series{{Point: "a", Checks: checks}, {Point: "b", Checks: checks[:half], Origin: 1e6}}, Options{MPE: mpe, Quick: len(data)%4 > 0})
		if err != nil {
			return
		}
		if _, err := json.Marshal(g); err != nil {
			t.Fatalf("%v\n%+v", err, g)
		}
		last := checks[len(checks)-1]
		for _, a := range g.Advice {
			if newestVerdict([]Check{last}) == Failed && a.Change == Extended {
				t.Errorf("after a check that failed: %+v", a)
			}
			if a.Next < 0 || a.Change == Now && a.Next != 0 {
				t.Errorf("%+v", a)
			}
		}
	})
}
