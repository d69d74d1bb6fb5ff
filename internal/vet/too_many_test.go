package vet

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
)

// TestTooManyIsFoundBefore: packs and places with too many combinations are named
// without a reading. Numbers ours.
func TestTooManyIsFoundBefore(t *testing.T) {
	shims := kitOf("grades:")
	for i := range 40 {
		shims += fmt.Sprintf("  - {part: p%d, thickness: 0.%03d, stock: 3}\n", i, 100+13*i)
	}
	const pack = "choose: {method: nearest, pack: {most: PIECES}}, within: 0.01"
	for _, c := range []struct{ name, place, more, family, noted string }{
		{"two packs of ten", strings.Replace(pack, "PIECES", "10", 1), "together: {within: 0.01}", shims, "left: packs of up to 10 pieces of family kit are too many to try where they are more than about 0.758 mm thick: the answer is then too many to try; allow fewer pieces"},
		{"two packs of two", strings.Replace(pack, "PIECES", "2", 1), "together: {within: 0.01}", shims, ""},
		{"grades", "choose: {method: nearest}", "together: {}", shims, ""},
		{"two places of hundreds", "within: 0.3", "together: {within: 5}", kitOf("series: {from: 0.001, to: 0.990, step: 0.001}"), "the places have more than 300000 combinations to try, up to 601 at left and 601 at right: the answer is then too many to try; lower within or the number of pieces"},
		{"not together", "choose: {method: nearest, pack: {most: 10}}, within: 0.01", "", shims, ""},
		{"not together, steps too fine", "choose: {method: nearest, pack: {most: 30}}, within: 0.01", "", kitOf("steps: uneven", "grades: [{part: a, thickness: 0.100000001}, {part: b, thickness: 0.30000007}, {part: c, thickness: 7.1}]"), "left: packs of up to 30 pieces of family kit are too many to try: the answer is then too many to try; allow fewer pieces"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := ReadProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {l: {title: left}, r: {title: right}}\nfit:\n  left: {thickness: l, parts: kit, "+c.place+"}\n  right: {thickness: r, parts: kit, "+c.place+"}\n"+c.more+"\n"))
			if err != nil {
				t.Fatal(err)
			}
			f, err := procedure.ReadFamily("f.yaml", []byte(c.family))
			if err != nil {
				t.Fatal(err)
			}
			if got := told(DoubtfulWith(p, f)); strings.Join(got, "\n") != c.noted && !strings.HasPrefix(strings.Join(got, "\n"), c.noted+"\n") {
				t.Errorf("%s", strings.Join(got, "\n"))
			}
		})
	}
}
