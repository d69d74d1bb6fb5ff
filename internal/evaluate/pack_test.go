package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
)

// packJob evaluates a gap with a kit; thicknesses are "mm" or "mm*stock".
func packJob(t testing.TB, gap, low, high, choose, kit string) Evaluation {
	t.Helper()
	p, err := ReadProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: "+
		low+", max: "+high+"}}\nparts: kit\nchoose: {"+choose+"}\n"))
	if err != nil {
		t.Fatal(err)
	}
	f := "family: kit\ntitle: t\nunit: mm\ngrades:\n"
	for piece := range strings.FieldsSeq(kit) {
		thickness, stock, counted := strings.Cut(piece, "*")
		f += fmt.Sprintf("  - {part: s%s, thickness: %s", thickness, thickness)
		if counted {
			f += ", stock: " + stock
		}
		f += "}\n"
	}
	family, err := ReadFamily("f.yaml", []byte(f))
	if err != nil {
		t.Fatal(err)
	}
	e, err := Evaluate(p, family, Input{Readings: []Reading{{Measurement: "g", Value: mm(gap), Shown: gap, Unit: p.Unit}}})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// The kit of seven of a gear-position shim table (makers' service texts, see
// testdata/trade/worked_examples.json, PK-01 to PK-05).
const kitOfSeven = "0.10 0.12 0.15 0.18 0.30 0.40 0.50"

func TestPacks(t *testing.T) {
	cases := []struct{ name, gap, low, high, choose, kit, pack, finding string }{
		{"two pieces", "0.65", "0", "0", "aim: middle, pack: {}", kitOfSeven, "s0.15 + s0.50", ""},
		{"three pieces", "0.76", "0", "0", "aim: middle, pack: {}", kitOfSeven, "s0.18 + s0.40 + s0.18", ""},
		{"one piece is fewer", "0.50", "0", "0", "aim: middle, pack: {}", kitOfSeven, "s0.50", ""},
		{"exact count", "0.50", "0", "0", "aim: middle, pack: {least: 3, most: 3}", kitOfSeven, "s0.10 + s0.30 + s0.10", ""},
		{"fewest before nearest", "0.60", "0.05", "0.15", "aim: middle, pack: {}", "0.10 0.20 0.46", "s0.46", ""},
		{"nearest of equally many", "0.60", "0.05", "0.15", "aim: middle, pack: {}", "0.46 0.49 0.53", "s0.49", ""},
		{"stock is respected", "0.60", "0", "0", "aim: middle, pack: {}", "0.10*9 0.30*1 0.50*0", "s0.10 + s0.10 + s0.30 + s0.10", ""},
		{"at most", "0.76", "0", "0", "aim: middle, pack: {most: 2}", kitOfSeven, "", "no pack of 1 to 2 pieces is 0.760 to 0.760 mm thick; the next thinner, s0.30 + s0.40 of 0.700 mm, would give 0.060 mm play; the next thicker, s0.40 + s0.40 of 0.800 mm, would give 0.040 mm preload: check the sum and the stock, then measure again or order what is missing"},
		{"unreachable", "0.41", "0", "0", "aim: middle, pack: {}", kitOfSeven, "", "no pack of 1 to 10 pieces is 0.410 to 0.410 mm thick; the next thinner, s0.40 of 0.400 mm, would give 0.010 mm play; the next thicker, s0.12 + s0.30 of 0.420 mm, would give 0.010 mm preload: check the sum and the stock, then measure again or order what is missing"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packJob(t, c.gap, c.low, c.high, c.choose, c.kit)
			got := ""
			if e.Pack != nil {
				got = e.Pack.Name()
			}
			if got != c.pack || (e.Pack == nil) != (e.Outcome == NothingFits) {
				t.Errorf("outcome %s, pack %q, want %q", e.Outcome, got, c.pack)
			}
			checkFinding(t, e, c.finding)
		})
	}
}

// TestTooManySums: a table with a slip that leaves no common step gets an
// answer instead of a search without end.
func TestTooManySums(t *testing.T) {
	e := packJob(t, "99", "0", "0", "aim: middle, pack: {most: 30}", "0.100000001 0.30000007 7.1")
	if e.Outcome != NothingFits || !strings.Contains(e.Findings[0].Text, "too many to try") {
		t.Errorf("outcome %s, %v", e.Outcome, e.Findings)
	}
}

func TestPackProblems(t *testing.T) {
	content := strings.Replace(ring, "choose: {aim: middle}", "choose: {aim: middle, pack: {least: 4, most: 3}}", 1)
	_, err := ReadProcedure("ring.yaml", []byte(content))
	checkError(t, err, "ring.yaml:12:29: at least 4 pieces are more than at most 3")
}

// TestPacksAreOptimal compares with trying every pack.
func TestPacksAreOptimal(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var kit []string
		var thickness, stock []int
		for at, i := 0, 0; i < rapid.IntRange(1, 5).Draw(rt, "grades"); i++ {
			at += rapid.IntRange(1, 15).Draw(rt, "step")
			n := rapid.IntRange(0, 4).Draw(rt, "stock")
			thickness, stock = append(thickness, at), append(stock, n)
			kit = append(kit, fmt.Sprintf("0.%03d*%d", at, n))
		}
		least := rapid.IntRange(1, 3).Draw(rt, "least")
		most := least + rapid.IntRange(0, 3).Draw(rt, "more")
		low := rapid.IntRange(1, 80).Draw(rt, "low")
		high := low + rapid.IntRange(0, 4).Draw(rt, "width")
		// With a gap of 1 mm a pack is from low to high when 1 - play is.
		e := packJob(t, "1", fmt.Sprintf("0.%03d", 1000-high), fmt.Sprintf("0.%03d", 1000-low),
			fmt.Sprintf("aim: middle, pack: {least: %d, most: %d}", least, most), strings.Join(kit, " "))
		pieces, distance := bruteForce(thickness, stock, least, most, low, high)
		if (e.Pack == nil) != (pieces == 0) {
			rt.Fatalf("pack %+v, by trying all: %d pieces", e.Pack, pieces)
		}
		if e.Pack == nil {
			return
		}
		got := (2*e.Pack.Thickness - gauge.Length(low+high)*1_000_000).Abs() / 1_000_000
		if len(e.Pack.Pieces) != pieces || int(got) != distance {
			rt.Fatalf("%s: %d pieces, twice %d um off the middle; by trying all %d pieces, %d um", e.Pack.Name(), len(e.Pack.Pieces), got, pieces, distance)
		}
	})
}

// bruteForce returns the fewest pieces and twice the least distance from the
// middle, in micrometres; 0 pieces when nothing fits.
func bruteForce(thickness, stock []int, least, most, low, high int) (pieces, distance int) {
	var try func(grade, count, sum int)
	try = func(grade, count, sum int) {
		if count > most {
			return
		}
		if grade == len(thickness) {
			d := max(2*sum-low-high, low+high-2*sum)
			if count >= least && sum >= low && sum <= high && (pieces == 0 || count < pieces || count == pieces && d < distance) {
				pieces, distance = count, d
			}
			return
		}
		for n := 0; n <= stock[grade]; n++ {
			try(grade+1, count+n, sum+n*thickness[grade])
		}
	}
	try(0, 0, 0)
	return pieces, distance
}

// BenchmarkPack is the hardest target of the kit of seven.
func BenchmarkPack(b *testing.B) {
	for b.Loop() {
		if e := packJob(b, "4.87", "0", "0", "aim: middle, pack: {most: 20}", kitOfSeven); e.Pack == nil {
			b.Fatal(e.Outcome)
		}
	}
}
