package shopfile

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

var update = flag.Bool("update", false, "write the golden files")

// TestProblemsInBothLanguages holds what is told of slips in a file, and in the tables beside
// it, in each language.
func TestProblemsInBothLanguages(t *testing.T) {
	const file = "titel: x\nunit: mm\nunit: in\nsorte: grob\nkind: \"\"\nrows: {file: chart.csv}\nmore: 1\nexpansion: 115\n" +
		"... table chart.csv\nsize,value\n\"1,5\",2\n\"1,500\",3,4\n"
	d := Parse("shop.yaml", []byte(file))
	m := d.Root().Map()
	m.Need("title")
	m.Get("unit")
	m.NeedOneOf("mode", "row", "exact")
	m.Get("sorte").OneOf("coarse", "fine")
	m.Get("kind").Word()
	m.Get("expansion").Expansion(gauge.MostExpansion)
	m.Get("rows").Map().Get("file").Grid(GridForm{Corner: "size"})
	m.Done()
	err := d.Err()
	if err == nil {
		t.Fatal("no problem")
	}
	if said := words.In(words.English).Error(err); said != err.Error() {
		t.Errorf("in English %s\nand as an error %s", said, err)
	}
	got := strings.Join([]string{words.In(words.English).Error(err), words.In(words.German).Error(err), ""}, "\n")
	const golden = "testdata/problems.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil || string(want) != got {
		t.Errorf("%v %s", err, cmp.Diff(string(want), got))
	}
}
