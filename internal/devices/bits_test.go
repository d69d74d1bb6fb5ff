package devices

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// bitsLayout is an invented layout of bits; the edits are old, new pairs.
func bitsLayout(edits ...string) string {
	return strings.NewReplacer(edits...).Replace(`layout: bits
title: Bits
mode: stream
unit: mm
frame: {length: 3, pause: 20ms}
bits:
  order: least first
  value: {from: 0, count: 20, as: two's complement}
  decimals: 2
  must: {23: 1}
good:
  - {bytes: "\x7B\x00\x80", shown: "1.23", unit: mm, value: "1.23"}
  - {bytes: "\x85\xFF\x8F", shown: "-1.23", unit: mm, value: "-1.23"}
bad:
  - {bytes: "\x7B\x00\x00", reason: layout}
`)
}

// TestBitsBothWays: the same number least and most significant bit first, in
// two's complement and in decimal digits, with the decimals in the frame.
func TestBitsBothWays(t *testing.T) {
	layouts := map[string]string{
		"least first": bitsLayout(),
		"most first": bitsLayout("order: least first", "order: most first", "{from: 0, count: 20", "{from: 4, count: 20", "must: {23: 1}", "must: {0: 1}",
			`"\x7B\x00\x80"`, `"\x80\x00\x7B"`, `"\x85\xFF\x8F"`, `"\x8F\xFF\x85"`, `"\x7B\x00\x00"`, `"\x00\x00\x7B"`),
		"digits, first first": bitsLayout("order: least first", "order: most first", "{from: 0, count: 20, as: two's complement}", "{from: 8, count: 16, as: bcd}\n  negative: 1",
			"must: {23: 1}", "must: {0: 1}", `"\x7B\x00\x80"`, `"\x80\x01\x23"`, `"\x85\xFF\x8F"`, `"\xC0\x01\x23"`, `"\x7B\x00\x00"`, `"\x00\x01\x23"`),
		"decimals in the frame": bitsLayout("count: 20", "count: 16", "decimals: 2", "decimals: {from: 16, count: 4}",
			`"\x7B\x00\x80"`, `"\x7B\x00\x82"`, `"\x85\xFF\x8F"`, `"\x85\xFF\x82"`, `"\x7B\x00\x00"`, `"\x7B\x00\x02"`),
	}
	for name, content := range layouts {
		l, err := ParseLayout("bits.yaml", []byte(content))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, text := range []string{"0.00", "3.21", "-3.21", "99.99"} {
			frame, err := l.Encode(gauge.MustLength(text, gauge.Millimetre), gauge.Millimetre, 2, "")
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			if v, err := l.Decode(frame, gauge.UnitUnknown); err != nil || v.Shown != text {
				t.Errorf("%s: %s went out as % x and came back as %v, %v", name, text, frame, v, err)
			}
		}
	}
}

func TestBadBits(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"must: {23: 1}", "must: {22: 0}", "bits.yaml:7:3: a frame of zeros, which a broken line gives, would pass for a value: say under must which bit is set in every frame, or if there is none, zeros: valid"},
		{"must: {23: 1}", "must: {24: 1}", "bits.yaml:10:10: bit 24 is beyond a frame of 3 bytes"},
		{"must: {23: 1}", "must: {19: 1}", "bits.yaml:10:10: bit 19 has another meaning already"},
		{"decimals: 2", "decimals: 2\n  negative: 20", "bits.yaml:10:13: a two's complement has its sign in itself: leave negative out"},
		{"count: 20, as: two's complement", "count: 18, as: bcd", "bits.yaml:8:10: decimal digits have four bits each: count must be a multiple of 4"},
		{"count: 20", "count: 61", `bits.yaml:8:27: "61" is not a whole number from 1 to 60`},
		{"length: 3, pause: 20ms", `ends: "\r", longest: 3`, `bits.yaml:7:3: bits stand in frames of fixed length: give "length" under frame`},
		{"pause: 20ms", "pause: 20ms, gap: 3ms", "bits.yaml:5:38: a frame has a fixed length or ends with a gap, not both"},
	} {
		_, err := ParseLayout("bits.yaml", []byte(bitsLayout(c.old, c.new)))
		if err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s:\n got %v\nwant %s", c.new, err, c.want)
		}
	}
}

// TestFixedFramesFindTheirStep: whatever is lost, frames are taken again after
// the next pause, and none that was cut is taken for a value.
func TestFixedFramesFindTheirStep(t *testing.T) {
	l, err := ParseLayout("bits.yaml", []byte(bitsLayout()))
	if err != nil {
		t.Fatal(err)
	}
	frame := []byte("\x7B\x00\x80")
	rapid.Check(t, func(t *rapid.T) {
		var got []string
		s := NewScanner(l, gauge.UnitUnknown, func(o Outcome) {
			if o.Rejection == nil {
				got = append(got, o.Value.Shown)
			}
		})
		whole := 0
		for range rapid.IntRange(1, 20).Draw(t, "frames") {
			sent := frame
			if rapid.Bool().Draw(t, "cut") {
				sent = frame[:rapid.IntRange(1, 2).Draw(t, "bytes")]
			} else if len(got) > 0 || s.inStep {
				whole++
			}
			for _, b := range sent {
				s.Feed([]byte{b}, time.Time{})
			}
			s.Quiet()
		}
		if len(got) != whole {
			t.Fatalf("%d values, %d whole frames", len(got), whole)
		}
		for _, shown := range got {
			if shown != "1.23" {
				t.Fatalf("got %s", shown)
			}
		}
	})
}

// TestFramesThatEndWithAGap: text without an end is read when the line falls
// quiet.
func TestFramesThatEndWithAGap(t *testing.T) {
	content := `layout: gap
title: Text without an end
mode: button
unit: mm
frame: {gap: 30ms, longest: 8}
match: '(?P<value>[+-]\d\.\d{3})'
good:
  - {bytes: "+1.234", shown: "+1.234", unit: mm, value: "1.234"}
  - {bytes: "-0.048", shown: "-0.048", unit: mm, value: "-0.048"}
bad:
  - {bytes: "+1.2", reason: layout}
  - {bytes: "+1.234+1.234", reason: too_long}
`
	l, err := ParseLayout("gap.yaml", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	s := NewScanner(l, gauge.UnitUnknown, func(o Outcome) { got = append(got, fmt.Sprint(o.Value.Shown, o.Rejection)) })
	s.Quiet()
	for _, text := range []string{"+1.234", "-0.048"} {
		s.Feed([]byte(text[:3]), time.Time{})
		s.Feed([]byte(text[3:]), time.Time{})
		s.Quiet()
	}
	if want := "+1.234<nil> -0.048<nil>"; strings.Join(got, " ") != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestChannelInBits: two bits say which gauge of a box it is.
func TestChannelInBits(t *testing.T) {
	content := `layout: boxed-bits
title: Bits with a channel
mode: stream
unit: mm
frame: {length: 3, pause: 20ms}
bits: {order: least first, value: {from: 0, count: 19, as: unsigned}, negative: 19, channel: {from: 20, count: 2}, overrange: 22, decimals: 2, must: {23: 1}}
good:
  - {bytes: "\x7B\x00\x80", shown: "1.23", unit: mm, value: "1.23", channel: "0"}
  - {bytes: "\x7B\x00\xB8", shown: "-1.23", unit: mm, value: "-1.23", channel: "3"}
bad:
  - {bytes: "\x7B\x00\xE0", reason: overrange}
`
	l, err := ParseLayout("boxed.yaml", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	frame, err := l.Encode(gauge.MustLength("-5.00", gauge.Millimetre), gauge.Millimetre, 2, "2")
	if err != nil {
		t.Fatal(err)
	}
	if v, err := l.Decode(frame, gauge.UnitUnknown); err != nil || v.Channel != "2" || v.Shown != "-5.00" {
		t.Errorf("%v, %v", v, err)
	}
	if err := l.checkChannel("4"); err == nil || words.In(words.English).Error(err) != `"4" is no channel of the layout boxed-bits: it is a number from 0 to 3` {
		t.Errorf("got %v", err)
	}
}

// TestFramesThatRanTogether: what a stall hands on at once is read, all or
// nothing, and a flood without a pause is not.
func TestFramesThatRanTogether(t *testing.T) {
	l, err := ParseLayout("bits.yaml", []byte(bitsLayout()))
	if err != nil {
		t.Fatal(err)
	}
	const one, other = "\x7B\x00\x80", "\x7C\x00\x80"
	for raw, want := range map[string]string{
		one + other:                  "1.23 1.24",
		one + other[:2]:              "!noise",
		one + "\x00\x00\x00" + other: "!noise",
		strings.Repeat(one, 64):      strings.TrimSpace(strings.Repeat("1.23 ", 64)),
		strings.Repeat(one, 65):      "!too_long",
	} {
		var got []string
		s := NewScanner(l, gauge.UnitUnknown, func(o Outcome) {
			if o.Rejection != nil {
				got = append(got, "!"+string(o.Rejection.Reason))
			} else {
				got = append(got, o.Value.Shown)
			}
		})
		s.Quiet()
		s.Feed([]byte(raw), time.Time{})
		s.Quiet()
		if strings.Join(got, " ") != want {
			t.Errorf("% x: got %s, want %s", raw, got, want)
		}
	}
}
