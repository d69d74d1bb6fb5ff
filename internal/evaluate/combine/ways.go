package combine

import (
	"fmt"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Option is one part, pack or size for a place.
type Option struct {
	Thickness gauge.Length
	Pieces    []procedure.Grade
	Index     int // of a single part in its list; -1 for none
}

// MostWays bounds the ways of putting packs together, which keeps a search within a few
// hundred milliseconds.
const MostWays = 20_000

// Ways lists every sum in the window that a pack can make, with every
// way of it that takes other pieces of which only so many are there; of the
// ways that do not differ in that, the one with the fewest pieces. It reports
// false when there are too many.
func Ways(grades []procedure.Grade, rule procedure.PackRule, window procedure.Limits) ([]Option, bool) {
	type state struct {
		sum    gauge.Length
		pieces int
		scarce string
	}
	type way struct {
		state
		taken []procedure.Grade
	}
	ways := []way{{}}
	for i, g := range grades {
		if g.Thickness == nil || g.Out() {
			continue
		}
		seen := map[state]bool{}
		var next []way
		for _, w := range ways {
			for n := 0; w.pieces+n <= rule.Most && (g.Stock == nil || n <= *g.Stock) && w.sum+gauge.Length(n)**g.Thickness <= *window.Max; n++ {
				to := state{w.sum + gauge.Length(n)**g.Thickness, w.pieces + n, w.scarce}
				if g.Stock != nil && n > 0 {
					to.scarce += fmt.Sprintf("%d*%d ", n, i)
				}
				if seen[to] {
					continue
				}
				seen[to] = true
				taken := append([]procedure.Grade(nil), w.taken...)
				for range n {
					taken = append(taken, g)
				}
				if next = append(next, way{to, taken}); len(next) > MostWays {
					return nil, false
				}
			}
		}
		ways = next
	}
	type kind struct {
		sum    gauge.Length
		scarce string
	}
	var list []Option
	at := map[kind]int{}
	for _, w := range ways {
		if w.pieces < max(rule.Least, 1) || window.Min != nil && w.sum < *window.Min {
			continue
		}
		k := kind{w.sum, w.scarce}
		if j, ok := at[k]; !ok {
			at[k] = len(list)
			list = append(list, Option{w.sum, w.taken, -1})
		} else if len(w.taken) < len(list[j].Pieces) {
			list[j] = Option{w.sum, w.taken, -1}
		}
	}
	return list, true
}
