package combine

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Split searches what several places take together, exactly: every combination
// of what can be had at each is looked at.
type Split struct {
	Places       []Place
	Wanted       gauge.Length // the total
	SplitFirst   bool         // the split counts before the total
	Below, Above *Combination // nearest to the wanted total on both sides, by the last search
}

// Place is what can be had at one place.
type Place struct {
	Family     string // whose stock it shares with other places
	Options    []Option
	Aim        gauge.Length
	TieThicker bool // of two that are equally near the thicker is taken
}

// Combination is one option for each place.
type Combination struct {
	Options []Option
	Total   gauge.Length
	Tied    []Option        // another combination of the same score; nil for none
	TiedAt  int             // the place by whose tie rule this one is taken
	score   [4]gauge.Length // what is preferred, the first the most; smaller is better
}

// MostCombinations bounds a search, which keeps it within a few hundred milliseconds.
const MostCombinations = 300_000

// Best looks at every combination and returns the best one within a distance
// of the wanted total; nil when there is none. It reports false when there are
// too many.
func (s *Split) Best(within gauge.Length) (best *Combination, ok bool) {
	product := 1
	for _, p := range s.Places {
		if product *= len(p.Options); product > MostCombinations {
			return nil, false
		}
	}
	s.Below, s.Above = nil, nil
	current := make([]Option, len(s.Places))
	used := map[string]int{}
	var place func(i int, total gauge.Length)
	place = func(i int, total gauge.Length) {
		if i == len(s.Places) {
			best = s.better(s.combine(current, total), best, within)
			return
		}
		for _, o := range s.Places[i].Options {
			if !s.Places[i].take(used, o.Pieces, 1) {
				continue
			}
			current[i] = o
			place(i+1, total+o.Thickness)
			s.Places[i].take(used, o.Pieces, -1)
		}
	}
	place(0, 0)
	return best, true
}

// take takes pieces out of the stock of all places, or puts them back. It
// reports false, and takes nothing, when there are not so many.
func (p *Place) take(used map[string]int, pieces []procedure.Grade, n int) bool {
	for i, g := range pieces {
		key := p.Family + "\x00" + g.Part
		if used[key] += n; g.Stock == nil || used[key] <= *g.Stock {
			continue
		}
		for _, back := range pieces[:i+1] {
			used[p.Family+"\x00"+back.Part] -= n
		}
		return false
	}
	return true
}

// combine says how good a combination is: how far the total is off, how far the
// place that is the furthest off, how far all of them, and how many pieces.
func (s *Split) combine(options []Option, total gauge.Length) *Combination {
	c := &Combination{Options: append([]Option(nil), options...), Total: total}
	var worst, all gauge.Length
	for i, o := range options {
		off := (o.Thickness - s.Places[i].Aim).Abs()
		worst, all = max(worst, off), all+off
		c.score[3] += gauge.Length(len(o.Pieces))
	}
	off := (total - s.Wanted).Abs()
	if s.SplitFirst {
		c.score[0], c.score[1], c.score[2] = worst, all, off
	} else {
		c.score[0], c.score[1], c.score[2] = off, worst, all
	}
	return c
}

// better returns the better of two combinations, and remembers those nearest to
// the wanted total.
func (s *Split) better(c, best *Combination, within gauge.Length) *Combination {
	off := c.Total - s.Wanted
	if off <= 0 && (s.Below == nil || c.Total > s.Below.Total) {
		s.Below = c
	}
	if off >= 0 && (s.Above == nil || c.Total < s.Above.Total) {
		s.Above = c
	}
	if off.Abs() > within {
		return best
	}
	if best == nil {
		return c
	}
	for i := range c.score {
		if c.score[i] != best.score[i] {
			if c.score[i] < best.score[i] {
				return c
			}
			return best
		}
	}
	for i, p := range s.Places {
		a, b := c.Options[i].Thickness, best.Options[i].Thickness
		if a == b {
			continue
		}
		if a > b == p.TieThicker {
			c.Tied, c.TiedAt = best.Options, i
			return c
		}
		best.Tied, best.TiedAt = c.Options, i
		return best
	}
	return best
}
