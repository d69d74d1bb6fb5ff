package evaluate

import (
	"iter"

	"gauged/internal/gauge"
)

// stack knows which sums packs of a family can reach, and how: an exact
// bounded knapsack over the number of pieces and the sum, in steps of the
// greatest common divisor of the thicknesses.
type stack struct {
	grades []Grade
	step   gauge.Length
	size   int    // sums from 0 to size-1 steps
	most   int    // pieces
	last   []take // by pieces and sum; how the sum was first reached
}

// take is the last grade that was laid on a pack, and how many of it.
type take struct {
	grade int32 // index + 1; 0 when the sum is not reached
	count int32
}

// Bounds that keep the search within milliseconds: states, and steps of work.
const (
	maxStates = 2_000_000
	maxWork   = 60_000_000
)

// newStack tries all packs up to one piece beyond the limit. It reports false
// when there are too many sums.
func newStack(grades []Grade, rule PackRule, limit gauge.Length) (*stack, bool) {
	s := &stack{grades: grades, most: rule.Most}
	thickest := gauge.Length(0)
	for _, g := range grades {
		s.step = divisor(*g.Thickness, s.step)
		thickest = max(thickest, *g.Thickness)
	}
	steps := (limit + thickest) / s.step
	states := (int64(steps) + 1) * int64(s.most+1)
	if int64(steps) > maxStates || states > maxStates || states*int64(s.most)*int64(len(grades)) > maxWork {
		return nil, false
	}
	s.size = int(steps) + 1
	s.last = make([]take, states)
	for i := range grades {
		s.lay(i)
	}
	return s, true
}

func divisor(a, b gauge.Length) gauge.Length {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// lay adds one grade, as often as it is in stock, to every pack of the grades
// before it.
func (s *stack) lay(grade int) {
	g := s.grades[grade]
	pieces := s.most
	if g.Stock != nil {
		pieces = min(pieces, *g.Stock)
	}
	steps := int(*g.Thickness / s.step)
	for n := 0; n <= s.most; n++ {
		for sum := 0; sum < s.size; sum++ {
			if !s.before(n, sum, grade) {
				continue
			}
			for count := 1; count <= pieces && n+count <= s.most && sum+count*steps < s.size; count++ {
				if to := &s.last[(n+count)*s.size+sum+count*steps]; to.grade == 0 {
					*to = take{int32(grade + 1), int32(count)}
				}
			}
		}
	}
}

// before reports whether a sum is reached with grades before the given one.
func (s *stack) before(pieces, sum, grade int) bool {
	if pieces == 0 {
		return sum == 0
	}
	t := s.last[pieces*s.size+sum]
	return t.grade != 0 && int(t.grade) <= grade
}

// sums yields the sums that packs of so many pieces reach, in rising order.
func (s *stack) sums(pieces int) iter.Seq[gauge.Length] {
	return func(yield func(gauge.Length) bool) {
		for sum, t := range s.last[pieces*s.size : (pieces+1)*s.size] {
			if t.grade != 0 && !yield(gauge.Length(sum)*s.step) {
				return
			}
		}
	}
}

// pieces takes a pack apart.
func (s *stack) pieces(pieces int, sum gauge.Length) []Grade {
	var all []Grade
	for at := int(sum / s.step); pieces > 0; {
		t := s.last[pieces*s.size+at]
		g := s.grades[t.grade-1]
		for range t.count {
			all = append(all, g)
		}
		pieces -= int(t.count)
		at -= int(t.count) * int(*g.Thickness/s.step)
	}
	return all
}
