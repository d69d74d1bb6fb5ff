package devices

import (
	"slices"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// mostBits bounds a number, so that it fits a whole number of the machine.
const mostBits = 60

// readBits reads where the parts of a value stand in a frame of fixed length.
func (l *Layout) readBits(v shopfile.Value, flaws *flaws) {
	m := v.Map()
	r := bitsReader{l: l, flaws: flaws, used: map[int]bool{}}
	b := &bitFields{}
	if order := m.Get("order"); order.Given() {
		b.mostFirst = order.OneOf("least first", "most first") == "most first"
	}
	vm := m.Need("value").Map()
	b.value = r.field(vm, mostBits)
	b.as = numberKind(vm.Need("as").OneOf(string(unsigned), string(twosComplement), string(bcd)))
	if digits := vm.Get("digits"); digits.Given() {
		b.lastDigit = digits.OneOf("last first", "first first") == "last first"
	} else {
		b.lastDigit = !b.mostFirst
	}
	vm.Done()
	if b.as == bcd && b.value.count%4 != 0 {
		flaws.at(m.Get("value"), gauge.Say("layout.bits-decimal"))
	}
	b.negative, b.half = r.bit(m.Get("negative")), r.bit(m.Get("half"))
	if b.as == twosComplement && b.negative >= 0 {
		flaws.at(m.Get("negative"), gauge.Say("layout.bits-negative"))
	}
	b.lowBattery, b.overrange = r.bit(m.Get("low_battery")), r.bit(m.Get("overrange"))
	b.unit = l.readUnitBit(m.Get("unit"), &r)
	if channel := m.Get("channel"); channel.Given() {
		cm := channel.Map()
		b.channel = r.field(cm, 16)
		cm.Done()
	}
	r.decimals(b, m.Need("decimals"))
	r.must(b, m.Get("must"))
	zeros := m.Get("zeros")
	if zeros.Given() {
		zeros.OneOf("valid")
	}
	m.Done()
	if !zeros.Given() && !slices.ContainsFunc(b.must, func(m mustBit) bool { return m.set }) {
		flaws.at(v, gauge.Say("layout.bits-zeros"))
	}
	l.bits = b
}

// bitsReader checks that every bit has one meaning and is in the frame.
type bitsReader struct {
	l     *Layout
	flaws *flaws
	used  map[int]bool
}

func (r *bitsReader) use(v shopfile.Value, from, count int) {
	for i := from; i < from+count; i++ {
		switch {
		case i >= 8*r.l.fixed:
			r.flaws.at(v, gauge.Say("layout.bit-beyond", gauge.Count("bit", i), gauge.Count("bytes", r.l.fixed)))
			return
		case r.used[i]:
			r.flaws.at(v, gauge.Say("layout.bit-twice", gauge.Count("bit", i)))
			return
		}
		r.used[i] = true
	}
}

func (r *bitsReader) field(m *shopfile.Map, most int) bitField {
	from := m.Need("from")
	f := bitField{from.Int(0, 8*longestFrame-1), m.Need("count").Int(1, most)}
	if f.count == 0 {
		r.flaws.found = true
		return f
	}
	r.use(from, f.from, f.count)
	return f
}

// bit reads the number of one bit; -1 when it is not given.
func (r *bitsReader) bit(v shopfile.Value) int {
	if !v.Given() {
		return -1
	}
	i := v.Int(0, 8*longestFrame-1)
	r.use(v, i, 1)
	return i
}

// readUnitBit reads the bit that says the unit.
func (l *Layout) readUnitBit(v shopfile.Value, r *bitsReader) int {
	if !v.Given() {
		return -1
	}
	m := v.Map()
	at := r.bit(m.Need("bit"))
	l.units = map[string]gauge.Unit{}
	for _, state := range []string{"clear", "set"} {
		u := m.Need(state).SentUnit()
		r.flaws.found = r.flaws.found || !u.Known()
		l.units[state] = u
	}
	m.Done()
	return at
}

// decimals reads how many decimals the number has: always, by unit, or as a
// field of the frame says.
func (r *bitsReader) decimals(b *bitFields, v shopfile.Value) {
	if v.IsMap() && v.Map().Get("from").Given() {
		m := v.Map()
		b.point = r.field(m, 8)
		m.Done()
		return
	}
	b.decimals = readDecimals(v)
}

// must reads bits that have one value in every frame.
func (r *bitsReader) must(b *bitFields, v shopfile.Value) {
	if !v.Given() {
		return
	}
	for _, e := range v.Map().Entries() {
		i, err := strconv.Atoi(e.Key.Text())
		if err != nil || i < 0 {
			r.flaws.at(e.Key, gauge.Say("layout.no-bit", e.Key.As("text")))
			continue
		}
		r.use(e.Key, i, 1)
		b.must = append(b.must, mustBit{i, e.Value.Int(0, 1) == 1})
	}
}
