package devices

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestModbusCheck: the check of the request 01 03 00 00 00 01 is 84 0A on the
// line (worked example of the serial line guide's CRC appendix, from memory; the
// algorithm gives it).
func TestModbusCheck(t *testing.T) {
	raw := []byte{0x01, 0x03, 0x00, 0x00, 0x00, 0x01}
	if got := binary.LittleEndian.AppendUint16(nil, crc16(raw)); got[0] != 0x84 || got[1] != 0x0a {
		t.Errorf("check % x", got)
	}
}

// registers is an invented layout; the edits are old, new pairs. Its examples
// are made from words, so that no check has to be written by hand.
func registers(t testing.TB, edits ...string) *Layout {
	t.Helper()
	text := strings.NewReplacer(edits...).Replace(`layout: registers
title: Registers
mode: poll
unit: mm
modbus: {form: rtu, station: 7, register: 256, as: int32, decimals: 3}
good:
  - {bytes: "GOOD", shown: "1.234", unit: mm, value: "1.234"}
  - {bytes: "NEGATIVE", shown: "-0.048", unit: mm, value: "-0.048"}
bad:
  - {bytes: "CUT", reason: half_frame}
  - {bytes: "NOISE", reason: noise}
`)
	f := &modbusFields{station: 7, function: 3, kind: kindInt32, decimals: 3, lowFirst: strings.Contains(text, "low first"), tcp: strings.Contains(text, "form: tcp")}
	if strings.Contains(text, "function: 4") {
		f.function = 4
	}
	answer := func(n int32) []byte {
		return f.wrapped(append([]byte{7, f.function, 4}, f.twoWords(uint32(n))...))
	}
	noise := answer(1234)
	noise[len(noise)-1] ^= 1
	for word, raw := range map[string][]byte{"GOOD": answer(1234), "NEGATIVE": answer(-48), "CUT": answer(1234)[:6], "NOISE": noise} {
		var escaped strings.Builder
		for _, b := range raw {
			fmt.Fprintf(&escaped, `\x%02X`, b)
		}
		text = strings.Replace(text, word, escaped.String(), 1)
	}
	if f.tcp {
		text = text[:strings.LastIndex(text, "  - {bytes")] // the network checks
	}
	l, err := ParseLayout("registers.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestModbusLayouts reads answers both ways of words, over both forms, in any
// cut of the stream.
func TestModbusLayouts(t *testing.T) {
	for _, edits := range [][]string{{}, {"as: int32", "as: int32, words: low first"}, {"form: rtu", "form: tcp"}, {"register: 256", "register: 256, function: 4"}} {
		l := registers(t, edits...)
		for _, text := range []string{"0.000", "1.234", "-123.456", "2147.483"} {
			frame, err := l.Encode(gauge.MustLength(text, gauge.Millimetre), gauge.Millimetre, 3, "")
			if err != nil {
				t.Fatal(err)
			}
			for _, size := range []int{1, 4, len(frame)} {
				var got []string
				s := NewScanner(l, gauge.UnitUnknown, func(o Outcome) { got = append(got, fmt.Sprint(o.Value.Shown, o.Rejection)) })
				s.Quiet()
				for _, raw := range [][]byte{frame, frame} {
					for len(raw) > 0 {
						n := min(size, len(raw))
						s.Feed(raw[:n], time.Time{})
						raw = raw[n:]
					}
				}
				if want := text + "<nil> " + text + "<nil>"; strings.Join(got, " ") != want {
					t.Errorf("%v in pieces of %d: %q, want %q", edits, size, got, want)
				}
			}
		}
	}
}

func TestModbusRefusals(t *testing.T) {
	l := registers(t)
	for _, c := range []struct {
		pdu    []byte
		reason gauge.Reason
		words  string
	}{
		{[]byte{7, 0x83, 2}, gauge.ReasonOverrange, "the gauge refuses with Modbus exception 2: it has no such register"},
		{[]byte{8, 3, 4, 0, 0, 0, 1}, gauge.ReasonLayout, "is no answer of station 7"},
		{[]byte{7, 3, 2, 0, 0}, gauge.ReasonLayout, "does not have the 2 registers that were asked for"},
	} {
		_, err := l.Decode(l.modbus.wrapped(c.pdu), gauge.UnitUnknown)
		rejection, _ := err.(*Rejection)
		if rejection == nil || rejection.Reason != c.reason || !strings.Contains(rejection.Error(), c.words) {
			t.Errorf("% x: got %v", c.pdu, err)
		}
	}
	// A float that is no number is none.
	float := &modbusFields{kind: kindFloat32, decimals: 3}
	if _, rejection := float.digits([]byte{0x7f, 0xc0, 0, 0}); rejection == nil || rejection.Reason != gauge.ReasonNumber {
		t.Errorf("NaN: %v", rejection)
	}
	if shown, rejection := float.digits([]byte{0x3f, 0x9d, 0xf3, 0xb6}); rejection != nil || shown != "1.234" {
		t.Errorf("1.234: %s, %v", shown, rejection)
	}
}
