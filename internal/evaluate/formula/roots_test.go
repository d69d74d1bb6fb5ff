package formula

import (
	"encoding/csv"
	"math/big"
	"os"
	"testing"
)

// TestFunctionsAgainstAnotherLibrary: roots and functions of angles are right to
// their last decimal, the 30th.
func TestFunctionsAgainstAnotherLibrary(t *testing.T) {
	f, err := os.Open("../../../testdata/formulas/functions.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table := csv.NewReader(f)
	table.Comment = '#'
	rows, err := table.ReadAll()
	if err != nil || len(rows) < 800 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for _, row := range rows[1:] {
		x, ok := new(big.Rat).SetString(row[1])
		if !ok {
			t.Fatal(row)
		}
		got, err := ofOne(row[0], x)
		if err != nil || got.FloatString(30) != row[2] && got.Sign() != 0 {
			t.Errorf("%s(%s) = %s, %v, want %s", row[0], row[1], got.FloatString(30), err, row[2])
		}
	}
}

// TestExactFunctions: what has an exact value gets it.
func TestExactFunctions(t *testing.T) {
	for _, c := range []struct{ name, x, want string }{
		{"sqrt", "25/4", "5/2"},
		{"sqrt", "1/1000000", "1/1000"},
		{"sin", "30", "1/2"},
		{"sin", "-90", "-1"},
		{"sin", "360000", "0"},
		{"cos", "60", "1/2"},
		{"cos", "90", "0"},
		{"cos", "-180", "-1"},
		{"tan", "45", "1"},
		{"tan", "225", "1"},
		{"tan", "-45", "-1"},
	} {
		x, _ := new(big.Rat).SetString(c.x)
		if got, err := ofOne(c.name, x); err != nil || got.RatString() != c.want {
			t.Errorf("%s(%s) = %v, %v, want %s", c.name, c.x, got, err, c.want)
		}
	}
}
