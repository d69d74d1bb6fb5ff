package devices

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// Encode writes a value as the gauge would, end included, in the manner of
// the layout's good examples of that unit: for simulated gauges. The value
// must be a whole number of the given decimals. A frame that the layout would
// not read back as exactly this value is an error, not a frame. The channel is
// that of the examples when none is given.
func (l *Layout) Encode(value gauge.Length, unit gauge.Unit, decimals int, channel string) ([]byte, error) {
	return l.encode(value, unit, decimals, channel, gauge.StatusOK)
}

// EncodeLowBattery is Encode for a gauge that says in each frame that its battery
// is low.
func (l *Layout) EncodeLowBattery(value gauge.Length, unit gauge.Unit, decimals int) ([]byte, error) {
	return l.encode(value, unit, decimals, "", gauge.StatusLowBattery)
}

// FlagsBattery reports whether EncodeLowBattery has an example to follow.
func (l *Layout) FlagsBattery(unit gauge.Unit) bool {
	return len(l.examplesFor(0, unit, gauge.StatusLowBattery)) > 0
}

func (l *Layout) encode(value gauge.Length, unit gauge.Unit, decimals int, channel string, status gauge.Status) ([]byte, error) {
	if !value.Exact(unit, decimals) {
		return nil, fmt.Errorf("layout %s: %d pm are not a whole number of %d decimals of %v", l.Name, value, decimals, unit)
	}
	for _, e := range l.examplesFor(value, unit, status) {
		if l.modbus != nil {
			if frame := l.encodeModbus(value, unit, decimals, cmp.Or(channel, e.value.Channel)); frame != nil {
				return frame, nil
			}
			continue
		}
		if l.bits != nil {
			if frame := l.encodeBits(e, value, unit, decimals, channel); frame != nil {
				return frame, nil
			}
			continue
		}
		for _, digits := range l.manners(e, value, unit, decimals) {
			frame, ok := l.replace(e.frame, l.groups.value, digits)
			if ok && channel != "" && l.groups.channel != 0 {
				frame, ok = l.replace(frame, l.groups.channel, channel)
			}
			read, _, rejection := l.decode(frame, units{one: unit}, false)
			if ok && len(frame) <= l.longest && rejection == nil && read.Length == value && read.Unit == unit && read.Status == status {
				return append(frame, e.end...), nil
			}
		}
	}
	return nil, gauge.WrongInput("layout.cannot-write", gauge.Text("layout", l.Name), gauge.Text("value", value.Text(unit, decimals)), gauge.Text("unit", unit.String()))
}

// Decimals returns how many decimals the first good example in unit u has.
func (l *Layout) Decimals(u gauge.Unit) (decimals int, found bool) {
	for _, e := range l.examplesFor(0, u, gauge.StatusOK) {
		_, fraction, _ := strings.Cut(e.value.Shown, ".")
		return len(fraction), true
	}
	return 0, false
}

// examplesFor returns the good examples with a status that can serve as a pattern,
// those with the sign of the value first.
func (l *Layout) examplesFor(value gauge.Length, unit gauge.Unit, status gauge.Status) []example {
	unitless := !l.Unit.Known() && l.units == nil
	var same, other []example
	for _, e := range l.good {
		switch {
		case e.value.Unit != unit && !unitless || e.value.Status != status:
		case (e.value.Length < 0) == (value < 0):
			same = append(same, e)
		default:
			other = append(other, e)
		}
	}
	return append(same, other...)
}

// manners returns ways to write the digits: as short as can be, then with
// zeros up to the width of the example.
func (l *Layout) manners(e example, value gauge.Length, unit gauge.Unit, decimals int) []string {
	counted, ok := l.unscaled(value.Abs())
	if !ok {
		return nil
	}
	whole, fraction, pointed := strings.Cut(counted.Text(unit, decimals), ".")
	if pointed && l.number.decimals == nil {
		fraction = string(l.decimal) + fraction
	}
	sign := ""
	switch {
	case value < 0:
		sign = "-"
	case strings.HasPrefix(e.value.Shown, "+") || e.value.Length < 0 && l.signsPositive():
		sign = "+"
	}
	exampleWhole, _, _ := strings.Cut(strings.TrimLeft(e.value.Shown, "+-"), ".")
	padded := strings.Repeat("0", max(0, len(exampleWhole)-len(whole))) + whole
	manners := []string{sign + whole + fraction, sign + padded + fraction}
	if l.number.decimals != nil { // as many digits as in the example, which shows them with a point and scaled
		text := fromLatin1(e.frame)
		width := len(strings.TrimLeft(group(text, l.whole.FindStringSubmatchIndex(text), l.groups.value), "+- "))
		manners = append(manners, sign+strings.Repeat("0", max(0, width-len(whole+fraction)))+whole+fraction)
	}
	return manners
}

func (l *Layout) signsPositive() bool {
	return slices.ContainsFunc(l.good, func(e example) bool { return strings.HasPrefix(e.value.Shown, "+") })
}
