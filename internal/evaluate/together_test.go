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

// sides evaluates two wanted thicknesses with a family; more is what the
// procedure says besides.
func sides(t testing.TB, left, right, place, more, family string, fitted ...procedure.Fitted) Evaluation {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {l: {title: left}, r: {title: right}}\nfit:\n"+
		"  left: {thickness: l, parts: kit, "+place+"}\n  right: {thickness: r, parts: kit, "+place+"}\n"+more+"\n"))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Fitted: fitted}
	for name, value := range map[string]string{"l": left, "r": right} {
		r, err := p.Typed(name, value, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, f, in)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

const series4 = "family: kit\ntitle: kit\nunit: mm\nseries: {from: 2.00, to: 4.00, step: 0.04}\n"

func recommendedOf(e Evaluation) string {
	var parts []string
	for _, f := range e.EachFit() {
		parts = append(parts, f.Recommended())
	}
	return strings.Join(parts, " | ")
}

// TestPlacesThatMakeOneSum: 2.58 and 3.42 from steps of 0.04. One by one both
// are rounded down, and the total, which is the preload, is a whole step short.
func TestPlacesThatMakeOneSum(t *testing.T) {
	kit := kitText("2.56*1 2.60*0 3.40*1 3.44*1")
	cases := []struct{ name, left, right, place, more, family, parts, why string }{
		{"one by one", "2.58", "3.42", "", "", series4, "2.56 | 3.40", ""},
		{"together", "2.58", "3.42", "", "together: {first: total}", series4, "2.56 | 3.44", "Together they make 6.000 mm, wanted is 6.000 mm. The total came first, then the split. left 2.600 mm and right 3.400 mm is equally good; what the procedure prefers at left decided."},
		{"a thicker left side preferred", "2.58", "3.42", "choose: {method: nearest, tie: thicker}", "together: {}", series4, "2.60 | 3.40", "Together they make 6.000 mm, wanted is 6.000 mm. The total came first, then the split. left 2.560 mm and right 3.440 mm is equally good; what the procedure prefers at left decided."},
		{"from what is in stock", "2.58", "3.42", "choose: {method: nearest, tie: thicker}", "together: {}", kit, "s2.56 | s3.44", "Together they make 6.000 mm, wanted is 6.000 mm. The total came first, then the split."},
		{"the total first", "2.57", "3.41", "", "together: {first: total}", series4, "2.56 | 3.40", "Together they make 5.960 mm, wanted is 5.980 mm. The total came first, then the split."},
		{"the split first", "2.575", "3.415", "", "together: {first: split, within: 0.030}", series4, "2.56 | 3.40", "Together they make 5.960 mm, wanted is 5.990 mm. The split came first, then the total."},
		{"the total first, with the same wants", "2.575", "3.415", "", "together: {first: total, within: 0.030}", series4, "2.56 | 3.44", "Together they make 6.000 mm, wanted is 5.990 mm. The total came first, then the split. left 2.600 mm and right 3.400 mm is equally good; what the procedure prefers at left decided."},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := sides(t, c.left, c.right, c.place, c.more, c.family)
			why := ""
			if e.Together != nil {
				why = inEnglish(e.Together.Why)
			}
			if e.Outcome != FitPart || recommendedOf(e) != c.parts || why != c.why {
				t.Errorf("%s with %s and %q, %s; want %s and %q", e.Outcome, recommendedOf(e), why, findingsText(e), c.parts, c.why)
			}
		})
	}
}

// TestNoSplitIsNamed: where stock keeps the total away, nothing is fitted, and
// the nearest totals are named.
func TestNoSplitIsNamed(t *testing.T) {
	e := sides(t, "2.58", "3.42", "", "together: {}", kitText("2.56 2.60*0 3.40 3.44*0"))
	want := "left: s2.60 of 2.600 mm would fit, but is out of stock.\nright: s3.44 of 3.440 mm would fit, but is out of stock.\nThe places need 6.000 mm together, and nothing available at all of them is within 0.020 mm of it. The nearest below is 5.960 mm (left 2.560 mm and right 3.400 mm). Check what was measured, or order the parts."
	if e.Outcome != NothingFits || findingsText(e) != want {
		t.Errorf("%s\n%s", e.Outcome, findingsText(e))
	}
}

// TestOpenPlaceFollowsWhatWasFitted: another part at one place changes what the
// open one must take for the same total.
func TestOpenPlaceFollowsWhatWasFitted(t *testing.T) {
	e := sides(t, "2.58", "3.42", "", "together: {}", series4, procedure.Fitted{Place: "left", Part: "2.60"})
	if e.Outcome != FitPart || recommendedOf(e) != "2.56 | 3.40" || *e.Together.Thickness != mm("6.00") {
		t.Errorf("%s, %s, %v", e.Outcome, recommendedOf(e), e.Together)
	}
	if want := "left: 2.60 was fitted, recommended was 2.56."; findingsText(e) != want {
		t.Errorf("%s", findingsText(e))
	}
}

// TestSplitAgainstEveryPair compares the split with all pairs of a family, with
// their stock, for both orders of preference.
func TestSplitAgainstEveryPair(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		var grades, stock []int
		kit, at := "", 100
		for range rapid.IntRange(2, 7).Draw(t, "grades") {
			at += rapid.IntRange(1, 6).Draw(t, "step")
			grades = append(grades, at)
			n := rapid.IntRange(0, 2).Draw(t, "stock")
			stock = append(stock, n)
			kit += fmt.Sprintf("%d.%02d*%d ", at/100, at%100, n)
		}
		within, total := rapid.IntRange(0, 8).Draw(t, "within"), rapid.IntRange(0, 8).Draw(t, "total")
		l, r := rapid.IntRange(100, at+4).Draw(t, "left"), rapid.IntRange(100, at+4).Draw(t, "right")
		first := rapid.SampledFrom([]string{"total", "split"}).Draw(t, "first")
		best := []int(nil)
		for i, a := range grades {
			for j, b := range grades {
				if abs(a-l) > within || abs(b-r) > within || abs(a+b-l-r) > total || stock[i] == 0 || stock[j] == 0 || i == j && stock[i] < 2 {
					continue
				}
				off, worst, all := abs(a+b-l-r), max(abs(a-l), abs(b-r)), abs(a-l)+abs(b-r)
				score := []int{off, worst, all, a, b}
				if first == "split" {
					score = []int{worst, all, off, a, b}
				}
				if best == nil || lessInts(score, best) {
					best = score
				}
			}
		}
		e := sides(outer, decimals2(l), decimals2(r), fmt.Sprintf("within: %s", decimals2(within)), fmt.Sprintf("together: {first: %s, within: %s}", first, decimals2(total)), kitText(kit))
		got := []int(nil)
		if e.Together != nil && e.Together.Thickness != nil {
			got = []int{int(*e.Fits[0].Choice.Thickness / (gauge.Millimetre.Size() / 100)), int(*e.Fits[1].Choice.Thickness / (gauge.Millimetre.Size() / 100))}
		}
		if best == nil && got != nil || best != nil && (got == nil || got[0] != best[3] || got[1] != best[4]) {
			t.Fatalf("%s, want %d and %d, first %s within %d and %d: %v, want %v; %s", kit, l, r, first, within, total, got, best, findingsText(e))
		}
		if (e.Outcome == FitPart) != (best != nil) {
			t.Fatal(e.Outcome)
		}
	})
}

// TestPacksTogetherAgainstEveryPair compares packs at two places with all pairs
// of packs from the same stock.
func TestPacksTogetherAgainstEveryPair(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		sizes := []int{3, 5, 10}
		stock := []int{rapid.IntRange(0, 3).Draw(t, "3"), rapid.IntRange(0, 3).Draw(t, "5"), rapid.IntRange(0, 2).Draw(t, "10")}
		kit := fmt.Sprintf("0.03*%d 0.05*%d 0.10*%d", stock[0], stock[1], stock[2])
		l, r := rapid.IntRange(3, 20).Draw(t, "left"), rapid.IntRange(3, 20).Draw(t, "right")
		const within, total, most = 2, 1, 3
		best := 1 << 30
		eachPack(stock, most, func(a []int) {
			left := []int{stock[0] - a[0], stock[1] - a[1], stock[2] - a[2]}
			eachPack(left, most, func(b []int) {
				x, y := a[0]*sizes[0]+a[1]*sizes[1]+a[2]*sizes[2], b[0]*sizes[0]+b[1]*sizes[1]+b[2]*sizes[2]
				if abs(x-l) > within || abs(y-r) > within || abs(x+y-l-r) > total {
					return
				}
				pieces := a[0] + a[1] + a[2] + b[0] + b[1] + b[2]
				best = min(best, ((abs(x+y-l-r)*100+max(abs(x-l), abs(y-r)))*100+abs(x-l)+abs(y-r))*100+pieces)
			})
		})
		e := sides(outer, decimals2(l), decimals2(r), "within: 0.02, choose: {method: nearest, pack: {most: 3}}", "together: {within: 0.01}", kitText(kit))
		got, unit := 1<<30, gauge.Millimetre.Size()/100
		if e.Together != nil && e.Together.Thickness != nil {
			x, y := int(e.Fits[0].Pack.Thickness/unit), int(e.Fits[1].Pack.Thickness/unit)
			pieces := len(e.Fits[0].Pack.Pieces) + len(e.Fits[1].Pack.Pieces)
			got = ((abs(x+y-l-r)*100+max(abs(x-l), abs(y-r)))*100+abs(x-l)+abs(y-r))*100 + pieces
			used := map[string]int{}
			for _, f := range e.Fits {
				for _, g := range f.Pack.Pieces {
					used[g.Part]++
				}
			}
			for i, name := range []string{"s0.03", "s0.05", "s0.10"} {
				if used[name] > stock[i] {
					t.Fatalf("%d of %s are taken, there are %d", used[name], name, stock[i])
				}
			}
		}
		if got != best {
			t.Fatalf("%s, want %d and %d: %d, want %d; %s %s", kit, l, r, got, best, recommendedOf(e), findingsText(e))
		}
	})
}

// eachPack calls f with every pack of one to so many pieces, as counts.
func eachPack(stock []int, most int, f func([]int)) {
	for a := range stock[0] + 1 {
		for b := range stock[1] + 1 {
			for c := range stock[2] + 1 {
				if n := a + b + c; n > 0 && n <= most {
					f([]int{a, b, c})
				}
			}
		}
	}
}

// TestTotalIsNeverMoreThanHalfAStepOff: of a full family, two or three places
// keep the total.
func TestTotalIsNeverMoreThanHalfAStepOff(t *testing.T) {
	outer := t
	rapid.Check(t, func(t *rapid.T) {
		l, r := rapid.IntRange(2000, 4000).Draw(t, "left"), rapid.IntRange(2000, 4000).Draw(t, "right")
		e := sides(outer, fmt.Sprintf("%d.%03d", l/1000, l%1000), fmt.Sprintf("%d.%03d", r/1000, r%1000), "", "together: {}", series4)
		if e.Outcome != FitPart || (*e.Together.Thickness-e.Together.Wanted).Abs() > mm("0.02") {
			t.Fatalf("%d and %d: %s, %+v", l, r, e.Outcome, e.Together)
		}
	})
}

// TestTogetherProblems: what cannot be chosen together is refused.
func TestTogetherProblems(t *testing.T) {
	const head = "procedure: p\ntitle: t\nunit: mm\nmeasure: {l: {title: l}, r: {title: r}}\n"
	cases := []struct{ name, lines, want string }{
		{"one place", "thickness: l\nparts: kit\ntogether: {}\n", "p.yaml:7:11: from 2 to 4 places under fit can be chosen together"},
		{"a pack without within", "fit:\n  a: {thickness: l, within: 0.01, parts: kit, choose: {method: nearest, pack: {}}}\n  b: {thickness: r, parts: kit}\ntogether: {}\n", "p.yaml:8:11: a takes packs, which have no step: give within, how much the total may be off"},
		{"a table", "fit:\n  a: {gap: l, parts: kit, choose: {method: table}}\n  b: {thickness: r, parts: kit}\ntogether: {}\n", "p.yaml:8:11: a is chosen by a table, so there is no sum to keep"},
		{"one that waits", "fit:\n  a: {thickness: l, parts: kit}\n  b: {thickness: r - fitted(a), parts: kit}\ntogether: {}\n", "p.yaml:8:11: b waits for what is fitted at another place, so the places cannot be chosen together"},
		{"another order", "fit:\n  a: {thickness: l, parts: kit}\n  b: {thickness: r, parts: kit}\ntogether: {first: parts}\n", `p.yaml:8:19: "parts" is not known here: use total, split`},
	}
	for _, c := range cases {
		_, err := readProcedure("p.yaml", []byte(head+c.lines))
		t.Run(c.name, func(t *testing.T) { checkError(t, err, c.want) })
	}
}

func abs(n int) int { return max(n, -n) }

func decimals2(n int) string { return fmt.Sprintf("%d.%02d", n/100, n%100) }

func lessInts(a, b []int) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return false
}

// TestTooManySplitsAreRefused: a search without bound is no answer.
func TestTooManySplitsAreRefused(t *testing.T) {
	const many = "family: kit\ntitle: kit\nunit: mm\nseries: {from: 0.001, to: 0.990, step: 0.001}\n"
	e := sides(t, "2.58", "3.42", "within: 5", "together: {within: 5}", many)
	want := "The places have more than 300000 combinations to try. In the procedure, allow less deviation from the wanted total, or fewer pieces."
	if e.Outcome != TooMany || findingsText(e) != want {
		t.Errorf("%s, %s", e.Outcome, findingsText(e))
	}
}

// TestFittedPartsMakeTheTotal: when all places are fitted, what they make together is
// held against the total. Half a step, where nothing is said, is no tolerance of parts
// that were measured.
func TestFittedPartsMakeTheTotal(t *testing.T) {
	fit := func(place, part, measured string) procedure.Fitted {
		f := procedure.Fitted{Place: place, Part: part}
		if measured != "" {
			f.Thickness = new(mm(measured))
		}
		return f
	}
	const missed = "The fitted parts make 5.960 mm together, wanted is 6.000 mm within 0.020 mm. Fit other parts, or measure again."
	cases := []struct {
		name, more  string
		left, right procedure.Fitted
		outcome     Outcome
		said        string
	}{
		{"as recommended", "together: {}", fit("left", "2.56", ""), fit("right", "3.44", ""), VerifyFit, ""},
		{"another split", "together: {}", fit("left", "2.60", ""), fit("right", "3.40", ""), VerifyFit, ""},
		{"a step short", "together: {}", fit("left", "2.56", ""), fit("right", "3.40", ""), DoesNotConform, missed},
		{"measured a little thinner", "together: {}", fit("left", "2.56", "2.550"), fit("right", "3.44", "3.425"), VerifyFit, ""},
		{"measured as another size", "together: {}", fit("left", "2.56", "2.520"), fit("right", "3.44", ""), DoesNotConform, missed},
		{"measured, and within is said", "together: {within: 0.020}", fit("left", "2.56", "2.550"), fit("right", "3.44", "3.425"), DoesNotConform, "The fitted parts make 5.975 mm together, wanted is 6.000 mm within 0.020 mm. Fit other parts, or measure again."},
		{"measured at the limit", "together: {within: 0.025}", fit("left", "2.56", "2.550"), fit("right", "3.44", "3.425"), VerifyFit, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := sides(t, "2.58", "3.42", "", c.more, series4, c.left, c.right)
			if e.Outcome != c.outcome || findingOf(e, FindingTotal) != c.said {
				t.Errorf("%s, %s", e.Outcome, findingsText(e))
			}
			if len(e.Judgements) != 1 || e.Judgements[0].Name != "total of the places" || (e.Judgements[0].Outcome == Conforms) != (c.said == "") {
				t.Errorf("%+v", e.Judgements)
			}
		})
	}
	// Where the open place cannot make the total any more, no total is shown as reached.
	e := sides(t, "2.58", "3.42", "", "together: {}", series4, fit("left", "2.40", ""))
	if e.Outcome != NothingFits || e.Together.Thickness != nil || !e.Together.Why.IsZero() {
		t.Errorf("%s, %+v", e.Outcome, e.Together)
	}
}

// TestOneForTwoPlaces: both places want the one grade of which there is only one; that
// is said, not that it is out of stock.
func TestOneForTwoPlaces(t *testing.T) {
	e := sides(t, "1.05", "1.05", "", "together: {}", kitText("1.00 1.05*1 1.10"))
	want := "s1.05 of 1.050 mm would fit at left and right, but only 1 is in stock.\nThe places need 2.100 mm together, and nothing available at all of them is within 0.025 mm of it. Check what was measured, or order the parts."
	if e.Outcome != NothingFits || findingsText(e) != want {
		t.Errorf("%s, %s", e.Outcome, findingsText(e))
	}
}
