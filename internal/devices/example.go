package devices

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// example is a good example frame without its end.
type example struct {
	frame []byte
	end   []byte
	value Value
}

// checkExamples runs the examples of a layout through the same scanner that
// reads the gauge. A layout whose examples fail is not used.
func (l *Layout) checkExamples(good, bad shopfile.Value, flaws *flaws) {
	goods, bads := good.List(), bad.List()
	if n := len(goods) + len(bads); n > mostExamples {
		flaws.at(good, gauge.Say("layout.examples-many", gauge.Count("examples", n), gauge.Count("most", mostExamples)))
		return
	}
	for _, v := range goods {
		l.checkGood(v, flaws)
	}
	if flaws.found {
		return
	}
	if len(goods) < 2 {
		flaws.at(good, gauge.Say("layout.good-two"))
		return
	}
	if !l.hasNegative() {
		flaws.at(good, gauge.Say("layout.good-negative"))
	}
	if len(bads) == 0 {
		flaws.at(bad, gauge.Say("layout.bad-one"))
	}
	if flaws.found {
		return
	}
	l.syncing = l.noTailPasses()
	for _, v := range bads {
		l.checkBad(v, flaws)
	}
}

func (l *Layout) checkGood(v shopfile.Value, flaws *flaws) {
	m := v.Map()
	at := m.Need("bytes")
	raw := flaws.bytes(at, longestFrame+longestEnd)
	shown := m.Need("shown")
	want := Value{Shown: shown.Text(), Unit: m.Need("unit").SentUnit(), Status: gauge.StatusOK, Channel: m.Get("channel").Text()}
	value := m.Need("value")
	length, readable := value.TryLength(want.Unit)
	want.Length = length
	if status := m.Get("status"); status.Given() {
		want.Status = gauge.Status(status.OneOf(string(gauge.StatusOK), string(gauge.StatusLowBattery)))
	}
	m.Done()
	if shown.Given() && want.Shown == "" {
		flaws.at(shown, gauge.Say("layout.shown-empty"))
	}
	if raw == nil || want.Shown == "" || !want.Unit.Known() || value.Given() && !readable {
		flaws.found = true
		return
	}
	outcomes := l.try(raw, want.Unit)
	if len(outcomes) != 1 || outcomes[0].Rejection != nil || outcomes[0].Value != want {
		flaws.at(at, gauge.Say("layout.good-gives", gauge.Nested("gives", describe(outcomes)), gauge.Nested("wanted", want.describe())))
		return
	}
	frame := outcomes[0].Raw
	l.good = append(l.good, example{frame, raw[len(frame):], want})
}

func (l *Layout) checkBad(v shopfile.Value, flaws *flaws) {
	m := v.Map()
	at := m.Need("bytes")
	raw := flaws.bytes(at, 4*longestFrame)
	words := make([]string, len(gauge.Reasons))
	for i, r := range gauge.Reasons {
		words[i] = string(r)
	}
	reason := gauge.Reason(m.Need("reason").OneOf(words...))
	unit := l.good[0].value.Unit // of a layout whose frames have none
	if given := m.Get("unit"); given.Given() {
		unit = given.SentUnit()
	} else if l.units != nil {
		unit = gauge.UnitUnknown
	}
	m.Done()
	if raw == nil || reason == "" {
		flaws.found = true
		return
	}
	outcomes := l.try(raw, unit)
	if len(outcomes) != 1 || outcomes[0].Rejection == nil || outcomes[0].Rejection.Reason != reason {
		flaws.at(at, gauge.Say("layout.bad-gives", gauge.Nested("gives", describe(outcomes)), gauge.Text("reason", string(reason))))
	}
}

// try scans bytes as they would come from a gauge that was quiet before and after.
func (l *Layout) try(raw []byte, unit gauge.Unit) []Outcome {
	var outcomes []Outcome
	s := NewScanner(l, unit, func(o Outcome) { outcomes = append(outcomes, o) })
	s.Quiet()
	s.Feed(raw, time.Time{})
	s.Quiet()
	return outcomes
}

// String describes a value with its exact length in its unit.
func (v Value) String() string {
	text := fmt.Sprintf("%q %v, value %s", v.Shown, v.Unit, exactText(v.Length, v.Unit))
	if v.Status != gauge.StatusOK {
		text += ", " + string(v.Status)
	}
	if v.Channel != "" {
		text += fmt.Sprintf(", channel %q", v.Channel)
	}
	return text
}

// exactText writes a length with as many decimals as it has.
func exactText(l gauge.Length, u gauge.Unit) string {
	return l.Text(u, l.Decimals(u, 0, 12))
}

// describe says what bytes gave.
func describe(outcomes []Outcome) gauge.Message {
	if len(outcomes) == 0 {
		return gauge.Say("layout.gives-nothing")
	}
	given := make([]gauge.Arg, len(outcomes))
	for i, o := range outcomes {
		if o.Rejection != nil {
			given[i] = gauge.Nested("", gauge.Say("layout.gives-rejection", gauge.Text("reason", string(o.Rejection.Reason)), gauge.Nested("detail", o.Rejection.Detail)))
		} else {
			given[i] = gauge.Nested("", o.Value.describe())
		}
	}
	return gauge.Say("layout.gives", gauge.List("given", given...))
}

// describe is String as a message; numbers are as in the file, with a point.
func (v Value) describe() gauge.Message {
	args := []gauge.Arg{gauge.Text("shown", strconv.Quote(v.Shown)), gauge.Text("unit", v.Unit.String()), gauge.Text("value", exactText(v.Length, v.Unit))}
	if v.Status != gauge.StatusOK {
		args = append(args, gauge.Text("status", string(v.Status)))
	}
	if v.Channel != "" {
		args = append(args, gauge.Text("channel", v.Channel))
	}
	return gauge.Say("layout.gives-value", args...)
}

func (l *Layout) hasNegative() bool {
	for _, e := range l.good {
		if e.value.Length < 0 {
			return true
		}
	}
	return false
}

// noTailPasses reports whether no proper suffix of a good frame is a frame.
func (l *Layout) noTailPasses() bool {
	if l.modbus != nil {
		return true // the request says when an answer begins, and the check that it is whole
	}
	if l.bits != nil {
		return false // nothing in the bits says where a frame begins
	}
	for _, e := range l.good {
		if l.suffix.MatchString(fromLatin1(e.frame[1:])) {
			return false
		}
	}
	return true
}

// DecodeAll scans all of r, which is taken to begin between two frames, and
// hands each outcome to emit. The unit is as in Layout.Decode.
func DecodeAll(l *Layout, unit gauge.Unit, r io.Reader, emit func(Outcome)) error {
	s := NewScanner(l, unit, emit)
	s.Quiet()
	buf, read := make([]byte, 64<<10), r.Read
	if l.fixed > 0 { // bytes in a file have no pauses
		buf, read = buf[:l.fixed], func(b []byte) (int, error) { return io.ReadFull(r, b) }
	}
	for {
		n, err := read(buf)
		s.Feed(buf[:n], time.Time{})
		if l.fixed > 0 {
			s.Quiet()
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			s.Quiet()
			return nil
		}
		if err != nil {
			return fmt.Errorf("read the bytes to decode: %w", err)
		}
	}
}
