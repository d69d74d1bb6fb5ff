package formula

import (
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
)

// TestInterpolationHolds: between four cells the value is what the weights of the
// corners give, computed another way, and never outside the cells around it.
func TestInterpolationHolds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		cell := rapid.Int64Range(-9000, 9000)
		var c [4]int64
		for i := range c {
			c[i] = cell.Draw(rt, "cell")
		}
		one := func(n int64) *big.Rat { return big.NewRat(n, 1) }
		table := &Table{
			Mode: TableInterpolate,
			Keys: []TableKey{
				{Unit: gauge.One, Texts: []string{"0", "10"}, Low: []*big.Rat{one(0), one(10)}, High: []*big.Rat{one(0), one(10)}},
				{Unit: gauge.One, Texts: []string{"0", "20"}, Low: []*big.Rat{one(0), one(20)}, High: []*big.Rat{one(0), one(20)}},
			},
			cells: [][]*big.Rat{{one(c[0]), one(c[1])}, {one(c[2]), one(c[3])}},
		}
		x, y := rapid.Int64Range(0, 10).Draw(rt, "x"), rapid.Int64Range(0, 20).Draw(rt, "y")
		row, err := table.find(0, one(x))
		if err != nil {
			rt.Fatal(err)
		}
		column, err := table.find(1, one(y))
		if err != nil {
			rt.Fatal(err)
		}
		got, err := table.value([]position{row, column})
		want := big.NewRat(c[0]*(10-x)*(20-y)+c[1]*(10-x)*y+c[2]*x*(20-y)+c[3]*x*y, 200)
		if err != nil || got.Cmp(want) != 0 {
			rt.Fatalf("%v at %d, %d of %v: %v, want %v", err, x, y, c, got, want)
		}
		all := append([]int64{}, c[:]...)
		slices.Sort(all)
		if got.Cmp(one(all[0])) < 0 || got.Cmp(one(all[3])) > 0 {
			rt.Fatalf("%v is outside %v", got, c)
		}
	})
}
