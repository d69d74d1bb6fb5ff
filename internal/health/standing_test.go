package health

import (
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// TestStandingOfTurnsInAnyOrder: whatever order they come in, the standing is the one
// that all turns lead to in the order of their places, also without some again.
func TestStandingOfTurnsInAnyOrder(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		var turns []turn
		for i := range 1 + random.IntN(8) {
			one := turn{seq: uint64(100 + i), place: uint64(i), time: time.Unix(int64(i), 0), verdict: check.Pass}
			switch random.IntN(4) {
			case 0:
				one.verdict = check.Fail
			case 1:
				one.said = StandingData{Standing: Standings[random.IntN(len(Standings))], Reason: fmt.Sprint(i)}
			}
			turns = append(turns, one)
		}
		h := &Gauge{Standing: InService}
		look := func(in []turn) {
			t.Helper()
			want := &Gauge{Standing: InService}
			for i := range in {
				want.stands(&in[i])
			}
			if h.Standing != want.Standing || !h.Why.Equal(want.Why) || !h.Since.Equal(want.Since) {
				t.Fatalf("%+v: %v %q %v, want %v %q %v", in, h.Standing, h.Why, h.Since, want.Standing, want.Why, want.Since)
			}
		}
		for _, i := range random.Perm(len(turns)) {
			h.turn(turns[i], gauge.Fact{Gauge: &gauge.GaugeFact{}})
		}
		look(turns)
		for len(turns) > 0 {
			i := random.IntN(len(turns))
			h.withoutTurn(VoidedData{Check: turns[i].seq}, gauge.Fact{Gauge: &gauge.GaugeFact{}})
			turns = slices.Delete(turns, i, i+1)
			look(turns)
		}
	}
}

// pastFacts are checks of the past as they are stored.
func pastFacts(t testing.TB, n int, verdict check.Verdict) (all []gauge.Fact) {
	for i := range n {
		at := time.Unix(int64(i)*3600, 0)
		data := CheckedData{Past: &PastData{Time: at}, Result: check.Result{Verdict: verdict}}
		all = append(all, gauge.Fact{Seq: uint64(i + 1), Gauge: &gauge.GaugeFact{Gauge: "clock", Time: at, Kind: KindChecked, Data: marshal(t, data)}})
	}
	return all
}

// TestFoldIsLinear: to fold four times as many checks takes about four times as much
// memory, and not sixteen times.
func TestFoldIsLinear(t *testing.T) {
	allocated := func(n int, verdict check.Verdict) uint64 {
		facts := pastFacts(t, n, verdict)
		h := &Gauge{Standing: InService}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		for _, f := range facts {
			if err := h.Add(f, true); err != nil {
				t.Fatal(err)
			}
		}
		runtime.ReadMemStats(&after)
		if len(h.turns) != n || h.Checks != n {
			t.Fatalf("%d turns, %d checks of %d", len(h.turns), h.Checks, n)
		}
		return after.TotalAlloc - before.TotalAlloc
	}
	for _, verdict := range []check.Verdict{check.Pass, check.Fail} {
		if few, many := allocated(2000, verdict), allocated(8000, verdict); many > 6*few {
			t.Errorf("%s: %d bytes for 2000 checks, %d for 8000", verdict, few, many)
		}
	}
}
