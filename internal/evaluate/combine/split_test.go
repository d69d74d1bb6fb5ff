package combine

import (
	"slices"
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// of are options of so many micrometres each, one piece of a family of which so many
// are there.
func of(stock int, micrometres ...gauge.Length) (list []Option) {
	for i, m := range micrometres {
		thickness := m * 1e6
		g := procedure.Grade{Part: string(rune('a' + i)), Thickness: &thickness, Stock: &stock}
		list = append(list, Option{thickness, []procedure.Grade{g}, i})
	}
	return list
}

// TestSplit: the total comes first, or the split; what is in stock once goes to one place.
func TestSplit(t *testing.T) {
	cases := []struct {
		name           string
		places         []Place
		wanted, within gauge.Length
		splitFirst     bool
		taken          []gauge.Length // in micrometres; nil for none
		below, above   gauge.Length   // nearest totals, 0 for none
	}{
		{"the total first", []Place{{Family: "f", Options: of(9, 10, 12, 15), Aim: 11e6}, {Family: "f", Options: of(9, 10, 12, 15), Aim: 12e6}}, 25, 3, false, []gauge.Length{10, 15}, 25, 25},
		{"the split first", []Place{{Family: "f", Options: of(9, 10, 12, 15), Aim: 11e6}, {Family: "f", Options: of(9, 10, 12, 15), Aim: 12e6}}, 25, 3, true, []gauge.Length{12, 12}, 25, 25},
		{"one is there", []Place{{Family: "f", Options: of(1, 10, 12), Aim: 12e6}, {Family: "f", Options: of(1, 10, 12), Aim: 12e6}}, 24, 3, false, []gauge.Length{10, 12}, 22, 0},
		{"of two families", []Place{{Family: "f", Options: of(1, 10, 12), Aim: 12e6}, {Family: "g", Options: of(1, 10, 12), Aim: 12e6}}, 24, 3, false, []gauge.Length{12, 12}, 24, 24},
		{"nothing is near", []Place{{Family: "f", Options: of(1, 10, 20)}}, 15, 4, false, nil, 10, 20},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			s := Split{Places: c.places, Wanted: c.wanted * 1e6, SplitFirst: c.splitFirst}
			best, ok := s.Best(c.within * 1e6)
			if !ok {
				t.Fatal("too many")
			}
			var taken []gauge.Length
			if best != nil {
				for _, o := range best.Options {
					taken = append(taken, o.Thickness/1e6)
				}
			}
			if !slices.Equal(taken, c.taken) {
				t.Errorf("took %v, want %v", taken, c.taken)
			}
			for _, side := range []struct {
				got  *Combination
				want gauge.Length
			}{{s.Below, c.below}, {s.Above, c.above}} {
				if total := total(side.got); total != side.want*1e6 {
					t.Errorf("the nearest total is %d, want %d um", total, side.want)
				}
			}
		})
	}
}

func total(c *Combination) gauge.Length {
	if c == nil {
		return 0
	}
	return c.Total
}

// TestSplitIsBounded: more combinations than can be looked at are refused before any is.
func TestSplitIsBounded(t *testing.T) {
	many := make([]Option, 1000)
	s := Split{Places: []Place{{Options: many}, {Options: many}}}
	if best, ok := s.Best(0); ok || best != nil {
		t.Errorf("%d combinations were looked at", len(many)*len(many))
	}
}
