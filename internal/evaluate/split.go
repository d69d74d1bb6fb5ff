package evaluate

import (
	"fmt"
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// split searches what several places take together, exactly: every combination
// of what can be had at each is looked at.
type split struct {
	*work
	fits         []*fitting
	wanted       gauge.Length // the total
	options      [][]option   // of each place
	chosen       []option     // of each place, as it was recommended first
	below, above *combination // nearest to the wanted total on both sides
}

// option is one part, pack or size for a place.
type option struct {
	thickness gauge.Length
	pieces    []procedure.Grade
	index     int // of the candidate; -1 for none
}

// combination is one option for each place.
type combination struct {
	options []option
	total   gauge.Length
	score   [4]gauge.Length // what is preferred, the first the most; smaller is better
	tied    []option        // another combination of the same score; nil for none
	tiedAt  int             // the place by whose tie rule this one is taken
}

// Bounds that keep a search within a few hundred milliseconds.
const (
	mostSplits = 300_000
	mostPacks  = 20_000 // states while packs are put together
)

// offer lists what can be had at a place. It reports false where nothing fits.
func (s *split) offer(f *fitting) bool {
	var list []option
	switch {
	case f.place.ToSize:
		list = f.sizes()
	case f.place.Choose.Pack != nil:
		var ok bool
		if list, ok = packOptions(f.family.Grades, *f.place.Choose.Pack, *f.fit.Window); !ok {
			s.tooManyPacks(f)
			return false
		}
		list = slices.DeleteFunc(list, func(o option) bool { return f.surelyPack(o.pieces) })
		if f.place.Choose.None && f.inWindow(0) {
			list = append(list, option{index: -1})
		}
		if len(list) == 0 {
			f.pack() // which names the nearest
		}
	default:
		f.joint = true
		f.list()
		for i, c := range f.fit.Candidates {
			if c.Fits && !c.Out() {
				list = append(list, option{*c.Thickness, []procedure.Grade{c.Grade}, i})
			}
		}
		if len(list) == 0 {
			f.nothingFits()
		}
	}
	s.options = append(s.options, list)
	return len(list) > 0
}

// sizes are those to which a part may be made: the wanted one, or the whole
// steps on both sides of it.
func (w *fitting) sizes() []option {
	step, aim := w.place.Choose.Step, *w.fit.Aim
	if step == 0 {
		return []option{{thickness: aim, index: -1}}
	}
	var list []option
	below := aim / step * step
	for _, size := range []gauge.Length{below, below + step} {
		if (size > 0 || size == 0 && w.place.Choose.None) && (size >= aim || size == below) && w.inWindow(size) && (size != below+step || below != aim) {
			list = append(list, option{thickness: size, index: -1})
		}
	}
	if len(list) == 0 {
		w.outcome = NothingFits
		w.find(FindingNothingFits, "in steps of %s no thickness is %s: check that the right faces were measured and that nothing is left out of the sum, then measure again", w.P.Show(step), w.P.ShowLimits(*w.fit.Window))
	}
	return list
}

// packOptions lists every sum in the window that a pack can make, with every
// way of it that takes other pieces of which only so many are there; of the
// ways that do not differ in that, the one with the fewest pieces. It reports
// false when there are too many.
func packOptions(grades []procedure.Grade, rule procedure.PackRule, window procedure.Limits) ([]option, bool) {
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
				if next = append(next, way{to, taken}); len(next) > mostPacks {
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
	var list []option
	at := map[kind]int{}
	for _, w := range ways {
		if w.pieces < max(rule.Least, 1) || window.Min != nil && w.sum < *window.Min {
			continue
		}
		k := kind{w.sum, w.scarce}
		if j, ok := at[k]; !ok {
			at[k] = len(list)
			list = append(list, option{w.sum, w.taken, -1})
		} else if len(w.taken) < len(list[j].pieces) {
			list[j] = option{w.sum, w.taken, -1}
		}
	}
	return list, true
}

// search looks at every combination and returns the best one within a distance
// of the wanted total; nil when there is none. It reports false when there are
// too many.
func (s *split) search(within gauge.Length) (best *combination, ok bool) {
	product := 1
	for _, list := range s.options {
		if product *= len(list); product > mostSplits {
			return nil, false
		}
	}
	s.below, s.above = nil, nil
	current := make([]option, len(s.fits))
	used := map[string]int{}
	var place func(i int, total gauge.Length)
	place = func(i int, total gauge.Length) {
		if i == len(s.fits) {
			best = s.better(s.combine(current, total), best, within)
			return
		}
		for _, o := range s.options[i] {
			if !s.fits[i].take(used, o.pieces, 1) {
				continue
			}
			current[i] = o
			place(i+1, total+o.thickness)
			s.fits[i].take(used, o.pieces, -1)
		}
	}
	place(0, 0)
	return best, true
}

// take takes pieces out of the stock of all places, or puts them back. It
// reports false, and takes nothing, when there are not so many.
func (w *fitting) take(used map[string]int, pieces []procedure.Grade, n int) bool {
	for i, g := range pieces {
		key := w.place.Parts + "\x00" + g.Part
		if used[key] += n; g.Stock == nil || used[key] <= *g.Stock {
			continue
		}
		for _, back := range pieces[:i+1] {
			used[w.place.Parts+"\x00"+back.Part] -= n
		}
		return false
	}
	return true
}

// combine says how good a combination is: how far the total is off, how far the
// place that is the furthest off, how far all of them, and how many pieces.
func (s *split) combine(options []option, total gauge.Length) *combination {
	c := &combination{options: append([]option(nil), options...), total: total}
	var worst, all gauge.Length
	for i, o := range options {
		off := (o.thickness - *s.fits[i].fit.Aim).Abs()
		worst, all = max(worst, off), all+off
		c.score[3] += gauge.Length(len(o.pieces))
	}
	off := (total - s.wanted).Abs()
	if s.P.Together.SplitFirst {
		c.score[0], c.score[1], c.score[2] = worst, all, off
	} else {
		c.score[0], c.score[1], c.score[2] = off, worst, all
	}
	return c
}

// better returns the better of two combinations, and remembers those nearest to
// the wanted total.
func (s *split) better(c, best *combination, within gauge.Length) *combination {
	off := c.total - s.wanted
	if off <= 0 && (s.below == nil || c.total > s.below.total) {
		s.below = c
	}
	if off >= 0 && (s.above == nil || c.total < s.above.total) {
		s.above = c
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
	for i, f := range s.fits {
		a, b := c.options[i].thickness, best.options[i].thickness
		if a == b {
			continue
		}
		if a > b == f.place.Choose.TieThicker {
			c.tied, c.tiedAt = best.options, i
			return c
		}
		best.tied, best.tiedAt = c.options, i
		return best
	}
	return best
}
