package drift

import (
	"math"
	"testing"
)

// TestManyMasters: the height of the CUSUM for a gauge of 2000 masters is computed, and its
// run length there is that of Siegmund's approximation (Sequential Analysis, 1985, from
// memory) to 5 %: both sides together, half of (exp(2kb) - 2kb - 1) / 2k^2 with b = h + 1.166.
func TestManyMasters(t *testing.T) {
	for _, masters := range []int{1, 155, 2000} {
		s, err := ChartSettings{Series: masters}.with()
		if err != nil {
			t.Fatal(masters, err)
		}
		x := 2 * s.Slack * (s.Height + 1.166)
		want := (math.Exp(x) - x - 1) / (2 * s.Slack * s.Slack) / 2
		if got := CUSUMRunLength(s.Slack, s.Height, 0); math.Abs(got/want-1) > 0.05 {
			t.Errorf("%d masters: height %g, run length %g, want %g", masters, s.Height, got, want)
		}
	}
	if _, err := (ChartSettings{Slack: 0.4, Height: 13}).with(); err == nil {
		t.Error("a height of 13 that is given is taken")
	}
}
