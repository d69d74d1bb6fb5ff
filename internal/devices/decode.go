package devices

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
	"gauged/internal/words"
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
	Detail gauge.Message // what was found
}

// Error is the reason, and in English what was found.
func (r *Rejection) Error() string {
	return string(r.Reason) + ": " + words.In(words.English).Tell(r.Detail)
}

// quoted is a frame as an argument that stands between quotes.
func quoted(frame []byte) gauge.Arg { return shopfile.Quoted("frame", string(frame)) }

// inHex is a frame of bytes that are no text, as an argument.
func inHex(frame []byte) gauge.Arg { return gauge.Text("frame", fmt.Sprintf("% x", frame)) }

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
		return 0, &Rejection{gauge.ReasonUnknown, gauge.Say("rejected.no-channel", shopfile.Quoted("channel", channel))}
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
		return v, 0, &Rejection{gauge.ReasonOverrange, gauge.Say("rejected.overrange", quoted(frame))}
	}
	if l.decimal == '.' && strings.Contains(text, ",") && l.whole.MatchString(strings.ReplaceAll(text, ",", ".")) {
		return v, 0, &Rejection{gauge.ReasonComma, gauge.Say("rejected.comma", quoted(frame))}
	}
	if skip {
		if at := l.suffix.FindStringSubmatchIndex(text); at != nil {
			v, rejection = l.value(text, at, unit)
			return v, len([]rune(text[:at[0]])), rejection
		}
	}
	for i, b := range frame {
		if !l.stands[b] {
			return v, 0, &Rejection{gauge.ReasonNoise, gauge.Say("rejected.no-sign", gauge.Count("at", i+1), quoted(frame), gauge.Text("byte", fmt.Sprintf("0x%02x", b)))}
		}
	}
	return v, 0, &Rejection{gauge.ReasonLayout, gauge.Say("rejected.no-match", quoted(frame))}
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
			return v, &Rejection{gauge.ReasonNumber, gauge.Say("rejected.point", shopfile.Quoted("shown", shown))}
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
		return &Rejection{gauge.ReasonComma, gauge.Told(err)}
	case err != nil:
		return &Rejection{gauge.ReasonNumber, gauge.Told(err)}
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
			return 0, &Rejection{gauge.ReasonUnit, gauge.Say("rejected.no-unit", shopfile.Quoted("unit", text), gauge.Texts("known", texts))}
		}
		unit = u
	}
	switch {
	case !unit.Known() && !given.Known():
		return 0, &Rejection{gauge.ReasonUnit, gauge.Say("rejected.unit-unsaid")}
	case !unit.Known():
		return given, nil
	case given.Known() && given != unit:
		return 0, &Rejection{gauge.ReasonUnit, gauge.Say("rejected.other-unit", gauge.Text("sent", unit.String()), gauge.Text("defined", given.String()))}
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
