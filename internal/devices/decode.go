package devices

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// Value is what a valid frame says.
type Value struct {
	Length gauge.Length
	Shown  string // sign and digits as the gauge wrote them, with a point
	Unit   gauge.Unit
	Status gauge.Status
	// Channel says which of several gauges behind one line the frame is of;
	// empty where the layout has none.
	Channel string
}

// Rejection says why bytes gave no value.
type Rejection struct {
	Reason gauge.Reason
	Detail string // in words
}

// Error is the reason, and in words what was found.
func (r *Rejection) Error() string { return string(r.Reason) + ": " + r.Detail }

func rejectf(reason gauge.Reason, format string, args ...any) *Rejection {
	return &Rejection{reason, fmt.Sprintf(format, args...)}
}

// Decode reads one whole frame without its end. The unit is what the gauge's
// definition states: it is needed when the layout has none, and when the
// layout has one they must agree. The error is a *Rejection.
func (l *Layout) Decode(frame []byte, unit gauge.Unit) (Value, error) {
	v, _, rejection := l.decode(frame, units{one: unit}, false)
	if rejection != nil {
		return Value{}, rejection
	}
	return v, nil
}

// units are the units that the definitions of the gauges on a line state.
type units struct {
	one gauge.Unit
	by  map[string]gauge.Unit // by channel; nil: any channel has the one unit
}

// of returns the unit of a channel.
func (u units) of(channel string) (gauge.Unit, *Rejection) {
	if u.by == nil {
		return u.one, nil
	}
	unit, known := u.by[channel]
	if !known {
		return 0, rejectf(gauge.ReasonUnknown, "the frame is of channel %q, which no gauge of this station has", channel)
	}
	return unit, nil
}

// decode reads a frame. Where skip allows it, bytes before the frame are
// passed over and their number returned. A rejected frame whose channel could
// be read has it in the value.
func (l *Layout) decode(frame []byte, unit units, skip bool) (v Value, skipped int, rejection *Rejection) {
	if l.modbus != nil {
		v, rejection = l.decodeModbus(frame, unit)
		return v, 0, rejection
	}
	if l.bits != nil {
		v, rejection = l.decodeBits(frame, unit)
		return v, 0, rejection
	}
	text := fromLatin1(frame)
	if at := l.whole.FindStringSubmatchIndex(text); at != nil {
		v, rejection = l.value(text, at, unit)
		return v, 0, rejection
	}
	if channel, found := l.showsOverrange(string(frame)); found {
		v.Channel = channel
		return v, 0, rejectf(gauge.ReasonOverrange, "the gauge shows %q instead of a value", frame)
	}
	if l.decimal == '.' && strings.Contains(text, ",") && l.whole.MatchString(strings.ReplaceAll(text, ",", ".")) {
		return v, 0, rejectf(gauge.ReasonComma, "%q has a decimal comma where the layout has a point", frame)
	}
	if skip {
		if at := l.suffix.FindStringSubmatchIndex(text); at != nil {
			v, rejection = l.value(text, at, unit)
			return v, len([]rune(text[:at[0]])), rejection
		}
	}
	for i, b := range frame {
		if !l.stands[b] {
			return v, 0, rejectf(gauge.ReasonNoise, "byte %d of %q is 0x%02x, which cannot stand in this layout", i+1, frame, b)
		}
	}
	return v, 0, rejectf(gauge.ReasonLayout, "%q does not match the layout", frame)
}

// value reads the groups of a frame that matched.
func (l *Layout) value(text string, at []int, stated units) (Value, *Rejection) {
	v := Value{Channel: group(text, at, l.groups.channel), Status: gauge.StatusOK}
	given, rejection := stated.of(v.Channel)
	if rejection != nil {
		return v, rejection
	}
	if v.Unit, rejection = l.unit(group(text, at, l.groups.unit), given); rejection != nil {
		return v, rejection
	}
	shown := strings.ReplaceAll(group(text, at, l.groups.value), " ", "")
	if l.decimal == ',' {
		if strings.Contains(shown, ".") {
			return v, rejectf(gauge.ReasonNumber, "%q has a decimal point where the layout has a comma", shown)
		}
		shown = strings.Replace(shown, ",", ".", 1)
	}
	if shown, rejection = l.pointed(shown, group(text, at, l.groups.decimals), v.Unit); rejection != nil {
		return v, rejection
	}
	if rejection = l.taken(&v, shown); rejection != nil {
		return v, rejection
	}
	if group(text, at, l.groups.lowBattery) != "" {
		v.Status = gauge.StatusLowBattery
	}
	return v, nil
}

// taken takes up the digits of a frame as the layout scales them, in the unit of v.
func (l *Layout) taken(v *Value, shown string) *Rejection {
	shown = l.scaled(shown)
	length, err := gauge.ParseLength(shown, v.Unit)
	switch {
	case errors.Is(err, gauge.ErrComma):
		return rejectf(gauge.ReasonComma, "%v", err)
	case err != nil:
		return rejectf(gauge.ReasonNumber, "%v", err)
	}
	v.Length, v.Shown = length, shown
	return nil
}

// unit returns the unit of a frame, which is never guessed.
func (l *Layout) unit(text string, given gauge.Unit) (gauge.Unit, *Rejection) {
	unit := l.Unit
	if l.units != nil {
		u, known := l.units[text]
		if !known {
			texts := slices.Sorted(maps.Keys(l.units))
			return 0, rejectf(gauge.ReasonUnit, "the frame has the unit %q; the layout knows %s", text, strings.Join(texts, ", "))
		}
		unit = u
	}
	switch {
	case !unit.Known() && !given.Known():
		return 0, rejectf(gauge.ReasonUnit, "neither the layout nor the gauge's definition states a unit")
	case !unit.Known():
		return given, nil
	case given.Known() && given != unit:
		return 0, rejectf(gauge.ReasonUnit, "the gauge sent %v, its definition says %v", unit, given)
	}
	return unit, nil
}

// group returns the text of a group, empty when it took no part in the match.
func group(text string, at []int, index int) string {
	if index == 0 || at[2*index] < 0 {
		return ""
	}
	return text[at[2*index]:at[2*index+1]]
}
