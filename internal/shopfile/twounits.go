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

// SecondColumn reads how the coarser of two columns is printed: rounded, or cut
// off. It counts for lengths that are read afterwards.
func (d *Document) SecondColumn(v Value) {
	if v.Given() {
		d.cut = v.OneOf("rounded", "cut off") == "cut off"
	}
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
	cut := v.cutOff(second, first, length, u, other)
	switch {
	case agree(length, digit), cut && v.doc.cut:
	case cut && v.lastDigit(u) <= second.lastDigit(other):
		second.Wrong(gauge.Say("entry.columns-cut-second", Quoted("stated", stated), v.As("first"), gauge.Text("unit", u.String()), gauge.Text("right", right)))
	case cut:
		second.Wrong(gauge.Say("entry.columns-cut", v.As("first"), gauge.Text("unit", u.String()), Quoted("stated", stated)))
	case length/10 != 0 && agree(length/10, digit):
		second.Wrong(gauge.Say("entry.columns-ten-large", Quoted("stated", stated), gauge.Text("unit", u.String()), v.As("first"), gauge.Text("right", first.Text(other, second.Decimals()+1)+" "+other.String())))
	case agree(length*10, digit*10):
		second.Wrong(gauge.Say("entry.columns-ten-small", Quoted("stated", stated), gauge.Text("unit", u.String()), v.As("first"), gauge.Text("right", first.Text(other, second.Decimals()+1)+" "+other.String())))
	case v.swapped(second, u, other):
		second.Wrong(gauge.Say("entry.columns-swapped", Quoted("first", v.Text()+" "+other.String()), second.As("second"), gauge.Text("unit", u.String())))
	default:
		second.Wrong(gauge.Say("entry.columns-differ", Quoted("stated", stated), gauge.Text("unit", u.String()), gauge.Text("right", right)))
	}
}

// cutOff reports whether the coarser of two columns is the other one with digits
// cut off.
func (v Value) cutOff(second Value, first, length gauge.Length, u, other gauge.Unit) bool {
	coarse, fine, digit := length, first, second.lastDigit(other)
	if d := v.lastDigit(u); d > digit {
		coarse, fine, digit = first, length, d
	}
	lost := fine.Abs() - coarse.Abs()
	return (coarse < 0) == (fine < 0) && lost >= 0 && lost < digit
}

// swapped reports whether the columns agree when each is read in the unit of
// the other.
func (v Value) swapped(second Value, u, other gauge.Unit) bool {
	a, errA := gauge.ParseLength(v.node.Value, other)
	b, errB := gauge.ParseLength(second.node.Value, u)
	return errA == nil && errB == nil && 2*(a-b).Abs() <= max(v.lastDigit(other), second.lastDigit(u))
}
