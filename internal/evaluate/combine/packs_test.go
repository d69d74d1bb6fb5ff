package combine

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// kitIn is so many grades of 1 mm and more in equal steps, with so many pieces of each
// in stock; -1 is not counted.
func kitIn(step gauge.Length, grades, stock int) []procedure.Grade {
	kit := make([]procedure.Grade, grades)
	for i := range kit {
		thickness := 1_000_000_000 + gauge.Length(i)*step
		kit[i] = procedure.Grade{Part: fmt.Sprint(i), Thickness: &thickness}
		if stock >= 0 {
			kit[i].Stock = &stock
		}
	}
	return kit
}

// TestSearchIsBounded: kits as shops have them are searched, even when every
// piece is measured, and what is refused is refused before any memory is taken.
func TestSearchIsBounded(t *testing.T) {
	const um = 1_000_000
	cases := []struct {
		name                          string
		step                          gauge.Length
		grades, stock, pieces, states int
	}{
		{"every shim measured to a micrometre", um, 37, 1, 10, 4_224},
		{"a micrometre over half a millimetre", um, 500, -1, 10, 54_912},
		{"a tenth of a micrometre", um / 10, 37, 2, 10, 4_224},
		{"inch and millimetre mixed: 0.02 um", um / 50, 200, -1, 10, 22_528},
		{"200 grades, 30 pieces", um, 200, -1, 30, 186_496},
		{"the largest family", um, 2000, -1, 30, 1_860_992},
		{"the largest family, counted", um, 2000, 30, 30, 0},
		{"no common step", 999_983, 200, 1, 30, 186_496},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s, ok := NewPacks(kitIn(c.step, c.grades, c.stock), procedure.PackRule{Least: 1, Most: c.pieces}, 100_000*um)
			if ok != (c.states > 0) || len(s.last) != c.states || c.states > MostSums {
				t.Errorf("searched: %v, with %d states; want %d", ok, len(s.last), c.states)
			}
		})
	}
}

// TestPacksExtremes: from a picometre to a kilometre nothing overflows, sums
// rise, and every sum is that of its pieces.
func TestPacksExtremes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		lengths := rapid.Custom(func(t *rapid.T) gauge.Length {
			size := rapid.SampledFrom([]int64{10, 1e6, 1e9, 1e12, int64(gauge.MaxLength)}).Draw(t, "size")
			return gauge.Length(rapid.Int64Range(1, size).Draw(t, "length"))
		})
		var kit []procedure.Grade
		for _, thickness := range rapid.SliceOfNDistinct(lengths, 1, 6, rapid.ID).Draw(rt, "kit") {
			g := procedure.Grade{Part: fmt.Sprint(thickness), Thickness: &thickness}
			if stock := rapid.IntRange(-1, 3).Draw(rt, "stock"); stock >= 0 {
				g.Stock = &stock
			}
			kit = append(kit, g)
		}
		least := rapid.IntRange(1, 30).Draw(rt, "least")
		s, ok := NewPacks(kit, procedure.PackRule{Least: least, Most: 30}, lengths.Draw(rt, "limit"))
		if !ok {
			return
		}
		for pieces := range 30 + 1 {
			before, taken := gauge.Length(-1), 0
			for sum := range s.Sums(pieces) {
				if taken++; taken > 100 {
					break
				}
				pack := s.Pieces(pieces, sum)
				if addUp(t, pack, sum); sum <= before || len(pack) != pieces || t.Failed() {
					rt.Fatalf("%d pieces: %d pm after %d pm: %s", pieces, sum, before, names(pack))
				}
				before = sum
			}
		}
	})
}

// BenchmarkPackLargest is the longest search that is not refused.
func BenchmarkPackLargest(b *testing.B) {
	for name, kit := range map[string][]procedure.Grade{"grades": kitIn(3_000_000, 2000, -1), "stock": kitIn(66_000_000, 100, 30)} {
		kit[1].Thickness = new(*kit[1].Thickness + 1_000_000) // a finer common step
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if s, ok := NewPacks(kit, procedure.PackRule{Least: 1, Most: 30}, 90_000_000_000); !ok {
					b.Fatalf("refused at a step of %d pm", s.step)
				}
			}
		})
	}
}

// addUp adds a pack up and counts its pieces.
func addUp(t testing.TB, pieces []procedure.Grade, want gauge.Length) {
	t.Helper()
	sum, used := gauge.Length(0), map[string]int{}
	for _, g := range pieces {
		sum += *g.Thickness
		used[g.Part]++
		if g.Stock != nil && used[g.Part] > *g.Stock {
			t.Errorf("%s takes more of %s than the %d in stock", names(pieces), g.Part, *g.Stock)
		}
	}
	if sum != want {
		t.Errorf("%s is %d thick, not %d", names(pieces), sum, want)
	}
}

func names(pieces []procedure.Grade) (names []string) {
	for _, g := range pieces {
		names = append(names, g.Part)
	}
	return names
}
