package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestSeveralGradesAreRight: grades that are right by the window or by the table
// are named; of those that a table gives, the first that can be had is taken.
func TestSeveralGradesAreRight(t *testing.T) {
	const byTable = "gap: g\nchoose: {method: table}"
	rows := func(stock string) string {
		return kitOf("row_step: 0.01", "grades:", "  - {part: a, serves: {max: 1.00}"+stock+"}", "  - {part: b, serves: {max: 1.00}}", "  - {part: c, serves: {min: 1.01, max: 1.10}}", "  - {part: d, serves: {min: 1.01, max: 1.10}}")
	}
	cases := []struct{ name, lines, reading, family, part, also, finding string }{
		{"by the window", "gap: g\nallow: {play: {min: 0.10, max: 0.20}}\nchoose: {method: middle}", "1.65", kitText("1.40 1.45 1.50 1.55*0 1.60"), "s1.50", "s1.45", ""},
		{"by the table", byTable, "0.90", rows(""), "a", "b", ""},
		{"by the table, out of stock", byTable, "0.90", rows(", stock: 0"), "b", "", "a is the part for this gap, but is out of stock."},
		{"by the table, the next row", byTable, "1.05", rows(""), "c", "d", ""},
		{"half a step each way", "thickness: g", "1.05", kitText("1.00 1.10"), "s1.00", "s1.10", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := familyFor(t, c.lines, c.reading, c.family)
			if choiceOf(e) != c.part || strings.Join(e.Also, " ") != c.also || findingsText(e) != c.finding || strings.Contains(inEnglish(e.Why), "Also right: "+c.also+".") != (c.also != "") {
				t.Errorf("%s, also %v, %q, %s", choiceOf(e), e.Also, e.Why, findingsText(e))
			}
		})
	}
}

// TestSeveralPartsForMarks: a row of a table by marks may give several parts.
func TestSeveralPartsForMarks(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {m: {title: mark, one_of: [A, B]}}\nparts: kit\nchoose: {method: marks}\n"))
	if err != nil {
		t.Fatal(err)
	}
	family := kitOf("grades: [{part: one, stock: 0}, {part: two}, {part: three}]", "by_marks: {by: [m], rows: {A: [one, two, three], B: forbidden}}")
	f, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	for mark, want := range map[string]string{"A": "two also three", "B": " also "} {
		e, err := Evaluate(p, f, compute.Input{Readings: []procedure.Reading{{Measurement: "m", Shown: mark}}})
		if got := choiceOf(e) + " also " + strings.Join(e.Also, " "); err != nil || got != want {
			t.Errorf("%s: %s, %v, %s", mark, got, err, findingsText(e))
		}
	}
	if rows := f.CodeTable(); rows[0].Part != "one, two, three" || rows[1].Part != "" {
		t.Errorf("%+v", rows)
	}
	_, err = procedure.ReadFamily("f.yaml", []byte(strings.Replace(family, "two, three]", "four]", 1)))
	checkError(t, err, `f.yaml:5:31: there is no part "four" among the grades; write forbidden for marks that must not come together`)
}

// TestPackAimsForTheSum: the exact sum of however many pieces, else the next
// above, before the fewest pieces.
func TestPackAimsForTheSum(t *testing.T) {
	const kit = "0.10 0.12 0.15 0.30*1"
	cases := []struct{ name, lines, wanted, pack string }{
		{"the fewest pieces", "thickness: g\nwithin: 0.05\nchoose: {method: next thicker, pack: {most: 4}}", "0.37", "s0.10 + s0.30"},
		{"the exact sum", "thickness: g\nchoose: {method: next thicker, pack: {most: 4, first: sum}}", "0.37", "s0.10 + s0.15 + s0.12"},
		{"else the next above", "thickness: g\nchoose: {method: next thicker, pack: {most: 4, first: sum}}", "0.31", "s0.10 + s0.12 + s0.10"},
		{"of one sum the fewest pieces", "thickness: g\nchoose: {method: next thicker, pack: {most: 4, first: sum}}", "0.30", "s0.30"},
		{"else the next below", "thickness: g\nchoose: {method: next thinner, pack: {most: 4, first: sum}}", "0.31", "s0.30"},
		{"nothing within a piece of the thinnest", "thickness: g\nchoose: {method: next thicker, pack: {most: 2, first: sum}}", "0.61", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e := packFor(t, c.lines, c.wanted, kit)
			got := ""
			if e.Pack != nil {
				got = e.Pack.Name()
			}
			if got != c.pack || (e.Outcome == NothingFits) != (c.pack == "") {
				t.Errorf("%s, %s, %s", e.Outcome, got, findingsText(e))
			}
		})
	}
	_, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g}}\nthickness: g\nparts: kit\nchoose: {method: nearest, pack: {first: sum}}\n"))
	checkError(t, err, "p.yaml:7:9: a pack for a stated thickness needs within: how much its sum may differ")
}

// TestPackSumsAgainstEveryPack compares the next sum above with all packs.
func TestPackSumsAgainstEveryPack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		most := rapid.IntRange(1, 5).Draw(rt, "most")
		kit, all := drawKit(rt, most)
		wanted := rapid.IntRange(1, 150).Draw(rt, "wanted")
		var thinnest int
		if _, err := fmt.Sscanf(kit, " 0.%03d", &thinnest); err != nil {
			rt.Fatal(err)
		}
		best, of := 0, 0
		for pieces := 1; pieces <= most; pieces++ {
			for _, sum := range all[pieces] {
				if sum >= wanted && sum <= wanted+thinnest && (best == 0 || sum < best) {
					best, of = sum, pieces
				}
			}
		}
		e := packFor(t, fmt.Sprintf("thickness: g\nchoose: {method: next thicker, pack: {most: %d, first: sum}}", most), fmt.Sprintf("0.%03d", wanted), kit)
		got, pieces := micrometres(e.Pack), 0
		if e.Pack != nil {
			pieces = len(e.Pack.Pieces)
			addUp(t, e.Pack)
		}
		if got != best || pieces != of {
			rt.Fatalf("kit %s, wanted %d of %d: %d of %d pieces, by trying all %d of %d", kit, wanted, most, got, pieces, best, of)
		}
	})
}
