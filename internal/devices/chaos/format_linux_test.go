package chaos_test

import (
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"gauged/internal/devices"
	"gauged/internal/gauge"
)

// format is one shape of frames: its layout, its frames, and what must become
// of bytes that were sent.
type format struct {
	name    string
	layout  string // the file; empty: the shipped layout of this name
	unit    gauge.Unit
	longest int    // bytes of a frame without its end
	end     string // of a frame; empty: a pause, or its length
	paced   bool   // only a pause keeps frames apart, or in step
	hasty   bool   // a pause cuts a frame short, although frames have an end
	opening string // what brings the format into step after the port was opened
	bounce  time.Duration
	frame   func(r *rand.Rand) []byte
	judge   judge
}

// judge says which values a stretch of bytes gives and how many rejections.
// It is the first one since the port was opened, and has ended or goes on.
type judge func(stretch []byte, first, ended bool) (values []value, refused int)

// never is a pause that no line of these tests takes, however busy the machine:
// what becomes of the bytes does not depend on time.
const never = "10s"

const examples = `
good:
  - {bytes: "+012.345 mm%[1]s", shown: "+012.345", unit: mm, value: "12.345"}
  - {bytes: "-00.0019 in%[1]s", shown: "-00.0019", unit: in, value: "-0.0019"}
bad:
  - {bytes: "+012.34 mm%[1]s", reason: layout}
  - {bytes: "+012.345 cm%[1]s", reason: unit}
  - {bytes: "+012,345 mm%[1]s", reason: comma}
  - {bytes: "+012.345 m\x00%[1]s", reason: noise}
  - {bytes: "------ mm%[1]s", reason: overrange}
  - {bytes: "+012.345", reason: %[2]s}
`

const stated = `
title: A signed decimal, a space and the unit
mode: stream
match: '(?P<value>[+-](?:\d{3}\.\d{3}|\d{2}\.\d{4})) (?P<unit>[a-z]{2})(?P<low_battery> B)?'
units: {mm: mm, in: in}
overrange: ["------ mm", "------ in"]
`

var (
	// patient frames state their unit, and nothing depends on time.
	patient = &format{
		name: "patient", longest: 24, end: "\r\n", frame: statedFrame, judge: lines(24, true, readStated),
		layout: "layout: patient\nframe: {ends: [\"\\r\\n\", \"\\r\", \"\\n\"], longest: 24, pause: " + never + "}" +
			stated + fmt.Sprintf(examples, `\r\n`, "half_frame"),
	}
	// bare frames are digits alone: the tail of one passes for another.
	bare = &format{
		name: "bare", longest: 12, end: "\r", unit: gauge.Millimetre, frame: bareFrame, judge: lines(12, false, readBare),
		layout: `layout: bare
title: Digits alone
mode: stream
frame: {ends: ["\r\n", "\r", "\n"], longest: 12, pause: ` + never + `}
match: '(?P<value>-?\d{1,4}\.\d{2})'
good:
  - {bytes: "12.34\r", shown: "12.34", unit: mm, value: "12.34"}
  - {bytes: "-0.05\r", shown: "-0.05", unit: mm, value: "-0.05"}
bad:
  - {bytes: "12.3\r", reason: layout}
  - {bytes: "12,34\r", reason: comma}
  - {bytes: "12.3\x004\r", reason: noise}
  - {bytes: "12.34", reason: half_frame}
`,
	}
	// brisk frames are cut short by a pause of 200 ms.
	brisk = &format{name: "value-with-unit", longest: 24, end: "\r\n", hasty: true, frame: statedFrame, judge: lines(24, true, readStated)}
	// gapped frames end with a pause alone.
	gapped = &format{
		name: "gapped", longest: 24, paced: true, judge: gaps(24, readStated),
		frame: func(r *rand.Rand) []byte { return []byte(strings.TrimSuffix(string(statedFrame(r)), "\r\n")) },
		layout: "layout: gapped\nframe: {gap: 40ms, longest: 24}" +
			stated + fmt.Sprintf(examples, "", "layout"),
	}
	// bits are frames of three bytes, which a pause brings back into step.
	bits = &format{name: "clocked-bits", longest: 3, paced: true, opening: "\x00", frame: bitsFrame, judge: triples}
)

// timeless reports whether what becomes of the bytes does not depend on time.
func (f *format) timeless() bool { return f.end != "" && !f.hasty }

// parsed returns the format's layout.
func (f *format) parsed(t *testing.T) *devices.Layout {
	t.Helper()
	if f.layout != "" {
		l, err := devices.ParseLayout(f.name+".yaml", []byte(f.layout))
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	shipped, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	l, err := shipped.Find(f.name)
	if err != nil {
		t.Fatalf("layout %s is not shipped", f.name)
	}
	return l
}

func statedFrame(r *rand.Rand) []byte {
	sign, unit, low := "+-"[r.IntN(2)], "mm", ""
	n := r.IntN(1_000_000)
	digits := fmt.Sprintf("%03d.%03d", n/1000, n%1000)
	if r.IntN(3) == 0 {
		unit, digits = "in", fmt.Sprintf("%02d.%04d", n/10_000, n%10_000)
	}
	if r.IntN(5) == 0 {
		low = " B"
	}
	return fmt.Appendf(nil, "%c%s %s%s\r\n", sign, digits, unit, low)
}

func bareFrame(r *rand.Rand) []byte {
	n := r.IntN(1_000_000)
	return fmt.Appendf(nil, "%s%d.%02d\r", []string{"", "-"}[r.IntN(2)], n/100, n%100)
}

func bitsFrame(r *rand.Rand) []byte {
	word := uint32(r.IntN(1<<20)) | uint32(r.IntN(4))<<20 | 1<<22 | uint32(r.IntN(2))<<23
	return binary.LittleEndian.AppendUint32(nil, word)[:3]
}

// frames returns some frames, one after the other.
func (f *format) frames(r *rand.Rand, count int) []byte {
	var all []byte
	for range count {
		all = append(all, f.frame(r)...)
	}
	return all
}
