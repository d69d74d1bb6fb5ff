package devices

import (
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
)

// bitFields says where the parts of a value stand in a frame of fixed length.
// Bits are counted from 0. Least first, bit 0 is the least of the first byte and
// a number begins with its least bit, as clocked gauges send; most first, both
// are the other way round.
type bitFields struct {
	mostFirst  bool
	value      bitField
	as         numberKind
	lastDigit  bool // of BCD: the last digit comes first
	negative   int  // bit that is set for a negative value; -1: none
	half       int  // bit that adds five in the next decimal; -1: none
	unit       int  // bit that says the unit; -1: none
	lowBattery int  // -1: none
	overrange  int  // -1: none
	decimals   map[gauge.Unit]int
	point      bitField // how many decimals; count 0: see decimals
	must       []mustBit
	channel    bitField // count 0: none
}

// bitField is a run of bits.
type bitField struct{ from, count int }

// mustBit is a bit that has one value in every frame.
type mustBit struct {
	at  int
	set bool
}

// numberKind is how the bits of a number are meant.
type numberKind string

const (
	unsigned       numberKind = "unsigned"
	twosComplement numberKind = "two's complement"
	bcd            numberKind = "bcd"
)

// bit returns one bit of a frame.
func (b *bitFields) bit(frame []byte, i int) bool {
	shift := i % 8
	if b.mostFirst {
		shift = 7 - shift
	}
	return frame[i/8]>>shift&1 == 1
}

func (b *bitFields) set(frame []byte, i int, to bool) {
	shift := i % 8
	if b.mostFirst {
		shift = 7 - shift
	}
	frame[i/8] &^= 1 << shift
	if to {
		frame[i/8] |= 1 << shift
	}
}

// number returns a run of at most 63 bits.
func (b *bitFields) number(frame []byte, f bitField) uint64 {
	var n uint64
	for k := range f.count {
		weight := k
		if b.mostFirst {
			weight = f.count - 1 - k
		}
		if b.bit(frame, f.from+k) {
			n |= 1 << weight
		}
	}
	return n
}

func (b *bitFields) put(frame []byte, f bitField, n uint64) {
	for k := range f.count {
		weight := k
		if b.mostFirst {
			weight = f.count - 1 - k
		}
		b.set(frame, f.from+k, n>>weight&1 == 1)
	}
}

// decodeBits reads a frame of fixed length.
func (l *Layout) decodeBits(frame []byte, stated units) (Value, *Rejection) {
	b, v := l.bits, Value{Status: gauge.StatusOK}
	if len(frame) != l.fixed {
		return v, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.size", gauge.Count("bytes", len(frame)), gauge.Count("size", l.fixed))}
	}
	for _, m := range b.must {
		if b.bit(frame, m.at) != m.set {
			return v, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.bit", gauge.Count("bit", m.at), inHex(frame))}
		}
	}
	if b.channel.count > 0 {
		v.Channel = strconv.FormatUint(b.number(frame, b.channel), 10)
	}
	given, rejection := stated.of(v.Channel)
	if rejection != nil {
		return v, rejection
	}
	if b.overrange >= 0 && b.bit(frame, b.overrange) {
		return v, &Rejection{gauge.ReasonOverrange, gauge.Say("rejected.overrange-bit", gauge.Count("bit", b.overrange))}
	}
	if v.Unit, rejection = l.unit(b.unitText(frame), given); rejection != nil {
		return v, rejection
	}
	shown, rejection := b.digits(frame, v.Unit)
	if rejection != nil {
		return v, rejection
	}
	if rejection = l.taken(&v, shown); rejection != nil {
		return v, rejection
	}
	if b.lowBattery >= 0 && b.bit(frame, b.lowBattery) {
		v.Status = gauge.StatusLowBattery
	}
	return v, nil
}

// unitText is the unit bit as units of text layouts are looked up.
func (b *bitFields) unitText(frame []byte) string {
	switch {
	case b.unit < 0:
		return ""
	case b.bit(frame, b.unit):
		return "set"
	}
	return "clear"
}

// digits writes the number of a frame as the gauge shows it.
func (b *bitFields) digits(frame []byte, unit gauge.Unit) (string, *Rejection) {
	n, negative, rejection := b.count(frame)
	if rejection != nil {
		return "", rejection
	}
	decimals := b.decimals[unit]
	if b.point.count > 0 {
		decimals = int(b.number(frame, b.point))
	}
	if decimals > mostDecimals {
		return "", &Rejection{gauge.ReasonNumber, gauge.Say("rejected.decimals", gauge.Count("decimals", decimals))}
	}
	text := strconv.FormatUint(n, 10)
	if b.half >= 0 {
		last := "0"
		if b.bit(frame, b.half) {
			last = "5"
		}
		text, decimals = text+last, decimals+1
	}
	text = withPoint(text, decimals)
	if negative {
		return "-" + text, nil
	}
	return text, nil
}

// count is the magnitude of the number in a frame and whether it is negative.
func (b *bitFields) count(frame []byte) (n uint64, negative bool, rejection *Rejection) {
	negative = b.negative >= 0 && b.bit(frame, b.negative)
	if b.as != bcd {
		n = b.number(frame, b.value)
		if b.as == twosComplement && n>>(b.value.count-1) == 1 {
			return 1<<b.value.count - n, true, nil
		}
		return n, negative, nil
	}
	nibbles := b.nibbles()
	for _, f := range nibbles {
		digit := b.number(frame, f)
		if digit > 9 {
			return 0, false, &Rejection{gauge.ReasonNumber, gauge.Say("rejected.no-digit", gauge.Count("from", f.from), gauge.Count("to", f.from+3), inHex(frame))}
		}
		n = 10*n + digit
	}
	return n, negative, nil
}

// nibbles are the digits of a BCD number, the most significant first.
func (b *bitFields) nibbles() []bitField {
	var fields []bitField
	for at := b.value.from; at < b.value.from+b.value.count; at += 4 {
		fields = append(fields, bitField{at, 4})
	}
	if b.lastDigit {
		slices.Reverse(fields)
	}
	return fields
}

// encodeBits writes a value in the manner of a good example; nil when the frame
// would not read back as that value.
func (l *Layout) encodeBits(e example, value gauge.Length, unit gauge.Unit, decimals int, channel string) []byte {
	b := l.bits
	frame := slices.Clone(e.frame)
	counted, ok := l.unscaled(value)
	if !ok {
		return nil
	}
	digits := strings.Replace(counted.Abs().Text(unit, decimals), ".", "", 1)
	if b.half >= 0 {
		last := digits[len(digits)-1]
		b.set(frame, b.half, last == '5')
		digits = digits[:len(digits)-1]
	}
	n, err := strconv.ParseUint("0"+digits, 10, 62)
	if err != nil {
		return nil
	}
	b.putNumber(frame, n, value < 0)
	if channel != "" && b.channel.count > 0 {
		c, _ := strconv.ParseUint(channel, 10, 16) // see checkChannel
		b.put(frame, b.channel, c)
	}
	read, rejection := l.decodeBits(frame, units{one: unit})
	if rejection != nil || read.Length != value || read.Unit != unit {
		return nil
	}
	return frame
}

func (b *bitFields) putNumber(frame []byte, n uint64, negative bool) {
	if b.negative >= 0 {
		b.set(frame, b.negative, negative)
	}
	if b.as == bcd {
		for _, f := range slices.Backward(b.nibbles()) {
			b.put(frame, f, n%10)
			n /= 10
		}
		return
	}
	if b.as == twosComplement && negative {
		n = -n
	}
	b.put(frame, b.value, n)
}
