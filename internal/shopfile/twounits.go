package shopfile

import "gauged/internal/gauge"

// inTwoUnits reads a length that stands in two units. The one in unit u
// counts; the other must agree within half of the last digit of the coarser.
func (v Value) inTwoUnits(u gauge.Unit) (length gauge.Length, ok bool) {
	m := v.Map()
	main := m.Need(u.String())
	length, ok = main.TryLength(u)
	for _, other := range gauge.Units(gauge.KindLength) {
		if second := m.Get(other.String()); other != u && second.Given() && ok {
			main.compare(second, length, u, other)
		}
	}
	m.Done()
	return length, ok
}

// lastDigit is the size of the last digit that a decimal is written with.
func (v Value) lastDigit(u gauge.Unit) gauge.Length {
	size := u.Size()
	for range min(v.Decimals(), 9) {
		size /= 10
	}
	return size
}

// compare reports a second column that does not say the same as the first,
// columns that were swapped, and a point that has slipped.
func (v Value) compare(second Value, first gauge.Length, u, other gauge.Unit) {
	length, ok := second.TryLength(other)
	if !ok {
		return
	}
	digit := max(v.lastDigit(u), second.lastDigit(other))
	agree := func(second, digit gauge.Length) bool { return 2*(first-second).Abs() <= digit }
	right := first.Text(other, second.Decimals()) + " " + other.String()
	stated := second.Text() + " " + other.String()
	switch {
	case agree(length, digit):
	case length/10 != 0 && agree(length/10, digit):
		second.Problemf("%s is ten times too large: the %s column says %s", stated, u, right)
	case agree(length*10, digit*10):
		second.Problemf("%s is ten times too small: the %s column says %s", stated, u, right)
	case v.swapped(second, u, other):
		second.Problemf("%s is as long as %s %s: the two columns are swapped", v.Text()+" "+other.String(), second.Text(), u)
	default:
		second.Problemf("%s does not agree with the %s column, which says %s: find out which of them is right", stated, u, right)
	}
}

// swapped reports whether the columns agree when each is read in the unit of
// the other.
func (v Value) swapped(second Value, u, other gauge.Unit) bool {
	a, errA := gauge.ParseLength(v.node.Value, other)
	b, errB := gauge.ParseLength(second.node.Value, u)
	return errA == nil && errB == nil && 2*(a-b).Abs() <= max(v.lastDigit(other), second.lastDigit(u))
}
