package shopfile

import "gauged/internal/gauge"

// inTwoUnits reads a length that stands in two units. The one in unit u
// counts; the other must agree within half of the last digit of the coarser.
func (v Value) inTwoUnits(u gauge.Unit) gauge.Length {
	m := v.Map()
	main := m.Need(u.String())
	length := main.Length(u)
	for _, other := range gauge.Units(gauge.KindLength) {
		if second := m.Get(other.String()); other != u && second.Given() && main.Given() {
			second.compare(other, length, u, max(main.lastDigit(u), second.lastDigit(other)))
		}
	}
	m.Done()
	return length
}

// lastDigit is the size of the last digit that a decimal is written with.
func (v Value) lastDigit(u gauge.Unit) gauge.Length {
	size := u.Size()
	for range min(v.Decimals(), 9) {
		size /= 10
	}
	return size
}

// compare reports a second column that does not say the same as the first, and
// a point that has slipped.
func (v Value) compare(u gauge.Unit, first gauge.Length, firstUnit gauge.Unit, digit gauge.Length) {
	second := v.Length(u)
	agree := func(second, digit gauge.Length) bool { return 2*(first-second).Abs() <= digit }
	right := first.Text(u, v.Decimals()) + " " + u.String()
	stated := v.Text() + " " + u.String()
	switch {
	case agree(second, digit):
	case second/10 != 0 && agree(second/10, digit):
		v.Problemf("%s is ten times too large: the %s column says %s", stated, firstUnit, right)
	case agree(second*10, digit*10):
		v.Problemf("%s is ten times too small: the %s column says %s", stated, firstUnit, right)
	default:
		v.Problemf("%s does not agree with the %s column, which says %s: find out which of them is right", stated, firstUnit, right)
	}
}
