// Package combine finds which parts together make a thickness: pieces of one family on
// each other, and parts of several places that make one sum. It looks at thicknesses and
// at what is in stock, exactly, within bounds of what a search may cost.
package combine

import (
	"cmp"
	"iter"
	"math/bits"
	"slices"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Packs knows which sums packs of a family can reach, and how: an exact
// bounded knapsack over the number of pieces and the sum. A pack of n pieces
// is n times the thinnest grade thick and so many steps more, a step being the
// greatest common divisor of what the other grades have more than the thinnest.
type Packs struct {
	grades   []procedure.Grade // that can be had
	thinnest gauge.Length
	step     gauge.Length
	most     int      // pieces
	words    int      // of one row of reached
	reached  []uint64 // a row of bits for each number of pieces, a bit for each step
	last     []uint16 // the index of the grade that first reached a bit
}

// Bounds that keep a search within a few hundred milliseconds and 20 megabytes.
const (
	MostSums = 8_000_000   // bits of reached
	maxWork  = 200_000_000 // words to be looked at
)

// NewPacks tries all packs, and those beyond the limit as far as the nearest
// of them. It reports false when there are too many sums; only the step is known
// then.
func NewPacks(grades []procedure.Grade, rule procedure.PackRule, limit gauge.Length) (*Packs, bool) {
	s, ok := sized(grades, rule, limit)
	if !ok || len(s.grades) == 0 {
		return s, ok
	}
	s.reached = make([]uint64, s.words*(s.most+1))
	s.last = make([]uint16, 64*len(s.reached))
	s.reached[0] = 1
	for i := range s.grades {
		s.lay(i)
	}
	return s, true
}

// CanTry reports whether the packs up to a limit are few enough to be tried.
func CanTry(grades []procedure.Grade, rule procedure.PackRule, limit gauge.Length) bool {
	_, ok := sized(grades, rule, limit)
	return ok
}

// Step is the greatest length of which all thicknesses differ by multiples.
func (s *Packs) Step() gauge.Length { return s.step }

// sized is NewPacks before anything is tried.
func sized(grades []procedure.Grade, rule procedure.PackRule, limit gauge.Length) (*Packs, bool) {
	s := &Packs{}
	for _, g := range grades {
		if g.Thickness != nil && !g.Out() {
			s.grades = append(s.grades, g)
		}
	}
	if len(s.grades) == 0 {
		return s, true
	}
	slices.SortStableFunc(s.grades, byThickness)
	s.thinnest = *s.grades[0].Thickness
	for _, g := range s.grades {
		s.step = divisor(*g.Thickness-s.thinnest, s.step)
	}
	s.step = max(s.step, 1) // a single grade
	ceiling := s.ceiling(rule, limit)
	s.most = int(min(int64(rule.Most), int64(ceiling/s.thinnest)))
	states, passes := s.size(ceiling)
	return s, states <= MostSums && states/64*passes <= maxWork
}

func divisor(a, b gauge.Length) gauge.Length {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// ceiling is what the thinnest pack that reaches the limit cannot exceed: with
// a piece less, or with a thinner piece, it would be below the limit, unless
// it is the thinnest of all.
func (s *Packs) ceiling(rule procedure.PackRule, limit gauge.Length) gauge.Length {
	var least gauge.Length
	missing := rule.Least
	for i, g := range s.grades {
		n := min(missing, s.copies(i, missing))
		least += gauge.Length(n) * *g.Thickness
		missing -= n
	}
	return max(limit, least) + *s.grades[len(s.grades)-1].Thickness
}

// copies is how many pieces of a grade can be had, if so many are wanted.
func (s *Packs) copies(grade, wanted int) int {
	if stock := s.grades[grade].Stock; stock != nil {
		return min(*stock, wanted)
	}
	return wanted
}

// size sets the width of a row, and returns the number of states and how often
// all of them are looked at.
func (s *Packs) size(ceiling gauge.Length) (states, passes int64) {
	widest := (*s.grades[len(s.grades)-1].Thickness - s.thinnest) / s.step
	var steps gauge.Length
	for n := gauge.Length(1); n <= gauge.Length(s.most); n++ {
		steps = max(steps, min(n*widest, (ceiling-n*s.thinnest)/s.step))
	}
	words := int64(steps)/64 + 1
	s.words = int(min(words, MostSums))
	for i, g := range s.grades {
		if g.Stock == nil {
			passes++
		} else {
			passes += int64(s.copies(i, s.most))
		}
	}
	return min(words, MostSums) * 64 * int64(s.most+1), passes
}

// lay adds one grade, as often as it is in stock, to every pack of the grades
// before it.
func (s *Packs) lay(grade int) {
	if s.grades[grade].Stock == nil {
		for n := 1; n <= s.most; n++ { // each row builds on one that has the grade already
			s.extend(n, grade)
		}
		return
	}
	for range s.copies(grade, s.most) {
		more := false
		for n := s.most; n > 0; n-- { // each row builds on one without this piece
			more = s.extend(n, grade) || more
		}
		if !more {
			return
		}
	}
}

// extend lays one piece on every pack of n-1 pieces. It reports whether a sum
// was reached for the first time.
func (s *Packs) extend(n, grade int) (more bool) {
	steps := int((*s.grades[grade].Thickness - s.thinnest) / s.step)
	if steps/64 >= s.words {
		return false
	}
	whole, part := steps/64, steps&63
	from, to := s.row(n - 1)[:s.words-whole], s.row(n)[whole:]
	last := s.last[(n*s.words+whole)*64:]
	var carry uint64 // what the word before shifts into this one
	for at, word := range from {
		first := (word<<part | carry) &^ to[at]
		carry = word >> 1 >> (63 - part)
		if first == 0 {
			continue
		}
		more = true
		to[at] |= first
		for ; first != 0; first &= first - 1 {
			last[at*64+bits.TrailingZeros64(first)] = uint16(grade)
		}
	}
	return more
}

func (s *Packs) row(pieces int) []uint64 {
	return s.reached[pieces*s.words : (pieces+1)*s.words]
}

// Sums yields the sums that packs of so many pieces reach, in rising order.
// Every sum up to the limit is among them, and the nearest beyond it.
func (s *Packs) Sums(pieces int) iter.Seq[gauge.Length] {
	return func(yield func(gauge.Length) bool) {
		if pieces > s.most {
			return
		}
		for at, word := range s.row(pieces) {
			for ; word != 0; word &= word - 1 {
				steps := at*64 + bits.TrailingZeros64(word)
				if !yield(gauge.Length(pieces)*s.thinnest + gauge.Length(steps)*s.step) {
					return
				}
			}
		}
	}
}

// Around returns the sums of so many pieces that are nearest to a window which
// they do not reach; 0 where there is none.
func (s *Packs) Around(pieces int, window procedure.Limits) (below, above gauge.Length) {
	for sum := range s.Sums(pieces) {
		if sum >= *window.Max {
			return below, sum
		}
		below = sum
	}
	return below, 0
}

// Pieces takes a pack apart. A bit that a piece reached first was reached from
// a bit of the pieces before it, so no piece is taken twice.
func (s *Packs) Pieces(pieces int, sum gauge.Length) []procedure.Grade {
	var all []procedure.Grade
	for ; pieces > 0; pieces-- {
		steps := int((sum - gauge.Length(pieces)*s.thinnest) / s.step)
		g := s.grades[s.last[pieces*s.words*64+steps]]
		all = append(all, g)
		sum -= *g.Thickness
	}
	return all
}

// ThinnestOutside orders pieces so that the two thinnest are the outer ones.
func ThinnestOutside(pieces []procedure.Grade) []procedure.Grade {
	slices.SortStableFunc(pieces, byThickness)
	if len(pieces) > 2 {
		second := pieces[1]
		pieces = append(slices.Delete(pieces, 1, 2), second)
	}
	return pieces
}

func byThickness(a, b procedure.Grade) int { return cmp.Compare(*a.Thickness, *b.Thickness) }
