package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// packJob evaluates a gap with a kit; thicknesses are "mm" or "mm*stock".
func packJob(t testing.TB, gap, low, high, choose, kit string) Evaluation {
	t.Helper()
	return packFor(t, "gap: g\nallow: {play: {min: "+low+", max: "+high+"}}\nchoose: {"+choose+"}", gap, kit)
}

// packFor evaluates one reading g, of which the given lines of a procedure
// say what it is for.
func packFor(t testing.TB, lines, reading, kit string) Evaluation {
	t.Helper()
	return familyFor(t, lines, reading, kitText(kit))
}

// kitText writes a kit as a part family.
func kitText(kit string) string {
	f := kitOf("grades:")
	for piece := range strings.FieldsSeq(kit) {
		thickness, stock, counted := strings.Cut(piece, "*")
		f += fmt.Sprintf("  - {part: s%s, thickness: %s", thickness, thickness)
		if counted {
			f += ", stock: " + stock
		}
		f += "}\n"
	}
	return f
}

// familyFor evaluates one reading g with the family kit.
func familyFor(t testing.TB, lines, reading, family string) Evaluation {
	t.Helper()
	return evaluateWith(t, "parts: kit\n"+lines, reading, family)
}

func evaluateWith(t testing.TB, lines, reading, family string) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\n"+lines+"\n"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	r, err := p.Typed("g", reading, p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{r}})
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
		{"two pieces", "0.65", "0", "0", "method: middle, pack: {}", kitOfSeven, "s0.15 + s0.50", ""},
		{"three pieces", "0.76", "0", "0", "method: middle, pack: {}", kitOfSeven, "s0.18 + s0.40 + s0.18", ""},
		{"one piece is fewer", "0.50", "0", "0", "method: middle, pack: {}", kitOfSeven, "s0.50", ""},
		{"exact count", "0.50", "0", "0", "method: middle, pack: {least: 3, most: 3}", kitOfSeven, "s0.10 + s0.30 + s0.10", ""},
		{"fewest before nearest", "0.60", "0.05", "0.15", "method: middle, pack: {}", "0.10 0.20 0.46", "s0.46", ""},
		{"nearest of equally many", "0.60", "0.05", "0.15", "method: middle, pack: {}", "0.46 0.49 0.53", "s0.49", ""},
		{"stock is respected", "0.60", "0", "0", "method: middle, pack: {}", "0.10*9 0.30*1 0.50*0", "s0.10 + s0.10 + s0.30 + s0.10", ""},
		{"at most", "0.76", "0", "0", "method: middle, pack: {most: 2}", kitOfSeven, "", "No pack of 1 to 2 pieces is 0.760 to 0.760 mm thick. The next thinner is s0.30 + s0.40 of 0.700 mm. It would give play 0.060 mm. The next thicker is s0.40 + s0.40 of 0.800 mm. It would give preload 0.040 mm. Check the sum and the stock. Then measure again, or order what is missing."},
		{"unreachable", "0.41", "0", "0", "method: middle, pack: {}", kitOfSeven, "", "No pack of 1 to 10 pieces is 0.410 to 0.410 mm thick. The next thinner is s0.40 of 0.400 mm. It would give play 0.010 mm. The next thicker is s0.12 + s0.30 of 0.420 mm. It would give preload 0.010 mm. Check the sum and the stock. Then measure again, or order what is missing."},
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
	e := packJob(t, "99", "0", "0", "method: middle, pack: {most: 30}", "0.100000001 0.30000007 7.1")
	checkFinding(t, e, "The thicknesses of family kit differ by steps as fine as 0.000000001 mm, so there are more than 8000000 sums to try. Allow fewer pieces, or look for a slip in the table.")
	if e.Outcome != TooMany || e.Pack != nil {
		t.Errorf("outcome %s, %v", e.Outcome, e.Pack)
	}
}

// TestPackSaysWhy: a count that was asked for is not called the fewest.
func TestPackSaysWhy(t *testing.T) {
	cases := []struct{ pack, want string }{
		{"{}", "Fewer pieces do not reach. Of the packs with 2 pieces within 0.600 to 0.650 mm it is nearest to 0.625 mm (the middle of the window). It gives play 0.030 mm."},
		{"{least: 3, most: 3}", "Of the packs with 3 pieces within 0.600 to 0.650 mm it is nearest to 0.625 mm (the middle of the window). It gives play 0.030 mm. A pack of 0.630 mm is equally near; this procedure takes the thinner of the two."},
	}
	for _, c := range cases {
		if e := packJob(t, "0.65", "0", "0.05", "method: middle, pack: "+c.pack, kitOfSeven); inEnglish(e.Why) != c.want {
			t.Errorf("pack: %s: %s", c.pack, e.Why)
		}
	}
}

func TestPackProblems(t *testing.T) {
	content := strings.Replace(ring, "choose: {method: middle}", "choose: {method: middle, pack: {least: 4, most: 3}}", 1)
	_, err := readProcedure("ring.yaml", []byte(content))
	checkError(t, err, "ring.yaml:12:32: at least 4 pieces are more than at most 3")
}

// TestPacksAreOptimal compares with trying every pack: the count, the sum, and
// what is nearest when no sum is inside. Lengths are in micrometres.
func TestPacksAreOptimal(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		least := rapid.IntRange(1, 3).Draw(rt, "least")
		most := least + rapid.IntRange(0, 3).Draw(rt, "more")
		kit, all := drawKit(rt, most)
		aim := rapid.SampledFrom([]string{"middle", "thickest", "thinnest", "play", "nearest"}).Draw(rt, "aim")
		low, width := rapid.IntRange(1, 120).Draw(rt, "low"), rapid.IntRange(0, 8).Draw(rt, "width")
		if aim == "nearest" {
			width &^= 1 // the same to both sides
		}
		high := low + width
		thicker, outside := rapid.Bool().Draw(rt, "thicker"), rapid.Bool().Draw(rt, "outside")
		choose := fmt.Sprintf("pack: {least: %d, most: %d}, tie: %s, at_limit: %s, ", least, most, word(thicker, "thicker", "thinner"), word(outside, "does not fit", "fits"))
		twiceAim := map[string]int{"middle": low + high, "nearest": low + high, "thickest": 2 * high, "thinnest": 2 * low}[aim]
		var e Evaluation
		switch aim {
		case "nearest": // a stated thickness
			e = packFor(t, fmt.Sprintf("thickness: g\nwithin: 0.%03d\nchoose: {%smethod: nearest}", (high-low)/2, choose), fmt.Sprintf("0.%03d", (low+high)/2), kit)
		case "play":
			twiceAim = 2 * rapid.IntRange(low, high).Draw(rt, "target")
			aim = fmt.Sprintf("aim: {play: 0.%03d}", 1000-twiceAim/2)
			fallthrough
		default: // With a gap of 1 mm a pack is from low to high when 1 - play is.
			if !strings.HasPrefix(aim, "aim: ") {
				aim = "method: " + aim
			}
			e = packJob(t, "1", fmt.Sprintf("0.%03d", 1000-high), fmt.Sprintf("0.%03d", 1000-low), choose+aim, kit)
		}
		got := [4]int{0, 0, micrometres(e.PackThinner), micrometres(e.PackThicker)}
		if e.Pack != nil {
			got = [4]int{len(e.Pack.Pieces), micrometres(e.Pack)}
			addUp(t, e.Pack)
		}
		if want := bestOf(all, least, most, low, high, twiceAim, thicker, outside); got != want {
			rt.Fatalf("kit %v, %s%s: pieces, sum, next thinner, next thicker are %v, by trying all %v", kit, choose, aim, got, want)
		}
	})
}

// drawKit draws up to five grades, and returns the sums of all their packs by
// the number of pieces too.
func drawKit(rt *rapid.T, most int) (kit string, sums map[int][]int) {
	sums = map[int][]int{0: {0}}
	thickness := 0
	for range rapid.IntRange(1, 5).Draw(rt, "grades") {
		thickness += rapid.IntRange(1, 15).Draw(rt, "step")
		kit += fmt.Sprintf(" 0.%03d", thickness)
		stock := rapid.IntRange(-1, 4).Draw(rt, "stock")
		if stock < 0 { // not counted
			stock = most
		} else {
			kit += fmt.Sprintf("*%d", stock)
		}
		sums = withGrade(sums, thickness, stock, most)
	}
	return kit, sums
}

func word(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func micrometres(p *Pack) int {
	if p == nil {
		return 0
	}
	return int(p.Thickness / 1_000_000)
}

// addUp adds a pack up and counts its pieces.
func addUp(t testing.TB, p *Pack) {
	t.Helper()
	sum, used := gauge.Length(0), map[string]int{}
	for _, g := range p.Pieces {
		sum += *g.Thickness
		used[g.Part]++
		if g.Stock != nil && used[g.Part] > *g.Stock {
			t.Errorf("%s takes more of %s than the %d in stock", p.Name(), g.Part, *g.Stock)
		}
	}
	if sum != p.Thickness {
		t.Errorf("%s is %d thick, not %d", p.Name(), sum, p.Thickness)
	}
}

// withGrade adds up to stock pieces of one thickness to every pack.
func withGrade(packs map[int][]int, thickness, stock, most int) map[int][]int {
	all := map[int][]int{}
	for pieces, sums := range packs {
		for n := 0; n <= stock && pieces+n <= most; n++ {
			for _, sum := range sums {
				all[pieces+n] = append(all[pieces+n], sum+n*thickness)
			}
		}
	}
	return all
}

// bestOf goes through all packs: the number of pieces and the sum of the best,
// or else the nearest sums below and above the window; 0 where there is none.
func bestOf(all map[int][]int, least, most, low, high, twiceAim int, thicker, outside bool) (best [4]int) {
	nearest := -1
	for pieces := least; pieces <= most; pieces++ {
		for _, sum := range all[pieces] {
			distance := max(2*sum-twiceAim, twiceAim-2*sum)
			if sum < low || sum > high || outside && (sum == low || sum == high) {
				continue
			}
			if nearest < 0 || distance < nearest || distance == nearest && (sum > best[1]) == thicker {
				nearest, best = distance, [4]int{pieces, sum}
			}
		}
		if nearest >= 0 {
			return best
		}
	}
	for pieces := least; pieces <= most; pieces++ {
		for _, sum := range all[pieces] {
			if sum < high && sum <= low {
				best[2] = max(best[2], sum)
			}
			if sum >= high && (best[3] == 0 || sum < best[3]) {
				best[3] = sum
			}
		}
	}
	return best
}

// BenchmarkPack is the hardest target of the kit of seven.
func BenchmarkPack(b *testing.B) {
	for b.Loop() {
		if e := packJob(b, "4.87", "0", "0", "method: middle, pack: {most: 20}", kitOfSeven); e.Pack == nil {
			b.Fatal(e.Outcome)
		}
	}
}

// kitOf is a family file with the given lines under its unit.
func kitOf(lines ...string) string {
	return "family: kit\ntitle: t\nunit: mm\n" + strings.Join(lines, "\n") + "\n"
}
