package compute

import (
	"math"
	"slices"
	"testing"

	"gauged/internal/gauge"
)

func TestTruncatedMean(t *testing.T) {
	cases := []struct {
		readings []gauge.Length
		k        int
		want     gauge.Length
		ok       bool
	}{
		{[]gauge.Length{9, 1, 5}, 0, 5, true},
		{[]gauge.Length{900, 1, 5}, 1, 5, true},
		{[]gauge.Length{-900, 4, 900, 5}, 1, 4, true}, // 4.5 to even
		{[]gauge.Length{-900, 6, 900, 5}, 1, 6, true}, // 5.5 to even
		{[]gauge.Length{1e15, 1e15, 1e15, -1e15, 1e15 - 1}, 1, 1e15, true},
		{[]gauge.Length{1, 2}, 1, 0, false},
		{[]gauge.Length{1, 2, 3}, 2, 0, false},
		{[]gauge.Length{1, 2, 3}, math.MaxInt, 0, false},
		{[]gauge.Length{1, 2, 3}, -1, 0, false},
		{nil, 0, 0, false},
	}
	for _, c := range cases {
		given := slices.Clone(c.readings)
		if got, ok := truncatedMean(c.readings, c.k); got != c.want || ok != c.ok {
			t.Errorf("%v without %d at each end: %d, %t, want %d, %t", c.readings, c.k, got, ok, c.want, c.ok)
		}
		if !slices.Equal(c.readings, given) {
			t.Errorf("%v has become %v", given, c.readings)
		}
	}
}
