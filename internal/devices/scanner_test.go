package devices

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// scan feeds a stream in chunks of the given sizes, over and over, and
// describes each outcome.
func scan(l *Layout, quiet bool, raw []byte, sizes ...int) []string {
	var got []string
	s := NewScanner(l, gauge.Millimetre, func(o Outcome) {
		if o.Rejection != nil {
			got = append(got, fmt.Sprintf("%d !%v %q", o.Offset, o.Rejection, o.Raw))
		} else {
			got = append(got, fmt.Sprintf("%d %v %q", o.Offset, o.Value, o.Raw))
		}
	})
	if quiet {
		s.Quiet()
	}
	for i := 0; len(raw) > 0; i++ {
		n := min(max(1, sizes[i%len(sizes)]), len(raw))
		s.Feed(raw[:n], time.Time{})
		raw = raw[n:]
	}
	s.Quiet()
	return got
}

func TestScanner(t *testing.T) {
	tail, err := readSample(t, "unsigned-tail.good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	signed := layout(t, "signed-line")
	cases := []struct {
		name   string
		layout *Layout
		quiet  bool
		raw    string
		want   []string
	}{
		{"all ends", signed, true, "+1.00\r\n+2.00\r+3.00\n\r\n", []string{
			`0 "+1.00" mm, value 1 "+1.00"`, `7 "+2.00" mm, value 2 "+2.00"`, `13 "+3.00" mm, value 3 "+3.00"`,
		}},
		{"garbage before a frame", signed, true, "\x00\xff+1.00\r", []string{
			`0 !noise: "\x00\xff" stands before a whole frame "\x00\xff"`, `2 "+1.00" mm, value 1 "+1.00"`,
		}},
		{"half frame before a frame", signed, true, "+1.0+2.00\r", []string{
			`0 !noise: "+1.0" stands before a whole frame "+1.0"`, `4 "+2.00" mm, value 2 "+2.00"`,
		}},
		{"opened in mid-frame", signed, false, "34\r+1.00\r", []string{
			`0 !half_frame: "34" is the tail of a frame that began before the port was open "34"`, `3 "+1.00" mm, value 1 "+1.00"`,
		}},
		{"opened at the start of a frame", signed, false, "+1.00\r", []string{`0 "+1.00" mm, value 1 "+1.00"`}},
		{"tail that looks whole", tail, false, "2.34\n12.34\n", []string{
			`0 !half_frame: "2.34" may be the tail of a frame that began before the port was open "2.34"`, `5 "12.34" mm, value 12.34 "12.34"`,
		}},
		{"garbage where tails look whole", tail, true, "-x2.34\n12.34\n", []string{
			`0 !noise: byte 2 of "-x2.34" is 0x78, which cannot stand in this layout "-x2.34"`, `7 "12.34" mm, value 12.34 "12.34"`,
		}},
		{"cut short", tail, true, "12.3", []string{`0 !half_frame: the frame stopped after 4 bytes "12.3"`}},
		{"too long", tail, true, "1234567890.123\n1.5\n", []string{
			`0 !too_long: no end of frame within 12 bytes "1234567890.12"`, `15 "1.5" mm, value 1.5 "1.5"`,
		}},
		{"longest", tail, true, "123456789.12\n", []string{`0 !number: "123456789.12" is not a length: it is larger than one kilometre "123456789.12"`}},
		{"one too long, ended", tail, true, "1234567890.12\n", []string{`0 !too_long: no end of frame within 12 bytes "1234567890.12"`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			for _, size := range []int{1, 2, 3, 1000} {
				got := scan(c.layout, c.quiet, []byte(c.raw), size)
				if strings.Join(got, "\n") != strings.Join(c.want, "\n") {
					t.Errorf("in chunks of %d\n got %s\nwant %s", size, strings.Join(got, "\n     "), strings.Join(c.want, "\n     "))
				}
			}
		})
	}
}

func TestConstantFeedsGiveNoReading(t *testing.T) {
	for _, l := range sampleLayouts(t) {
		for _, b := range []byte{0x00, 0xff, 0x55} {
			for _, got := range scan(l, true, bytes.Repeat([]byte{b}, 100_000), 4096) {
				if !strings.Contains(got, "!") {
					t.Errorf("layout %s read 0x%02x as %s", l.Name, b, got)
				}
			}
		}
	}
}

func sampleLayouts(t testing.TB) []*Layout {
	t.Helper()
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	all := []*Layout{layouts["request-reply"], layouts["signed-line"], layouts["value-with-unit"]}
	for _, name := range []string{"decimal-comma.good.yaml", "unsigned-tail.good.yaml"} {
		l, err := readSample(t, name)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, l)
	}
	return append(all, layouts["clocked-bits"], layouts["bcd-digits"], layouts["channel-and-value"], layouts["request-channel"],
		registers(t), registers(t, "form: rtu", "form: tcp"))
}

// recorded returns what gauges have sent in the recorded logs.
func recorded(t testing.TB) (streams [][]byte) {
	t.Helper()
	for _, file := range glob(t, "../../testdata/logs/*.jsonl") {
		rec, err := ReadRecording(file, bytes.NewReader(readFile(t, file)))
		if err != nil {
			t.Fatal(err)
		}
		var in []byte
		for _, e := range rec.Entries {
			if e.Dir == In {
				in = append(in, e.Bytes...)
			}
		}
		streams = append(streams, in)
	}
	return streams
}

// seeds are streams that have been trouble, or could be.
func seeds(f *testing.F, layouts []*Layout) {
	for _, stream := range recorded(f) {
		for i := range layouts {
			f.Add(uint8(i), stream, uint8(1), uint8(9))
		}
	}
	for i, l := range layouts {
		var all []byte
		for _, e := range l.good {
			all = append(append(all, e.frame...), e.end...)
		}
		f.Add(uint8(i), all, uint8(1), uint8(5))
		f.Add(uint8(i), append([]byte("\x00\xff+"), all[:len(all)-1]...), uint8(3), uint8(2))
		f.Add(uint8(i), append(bytes.Repeat([]byte("U"), 50), all...), uint8(7), uint8(1))
	}
}

// FuzzScanner: chunks do not matter, what is held is bounded, offsets go up,
// and every value comes from bytes that the layout matches.
func FuzzScanner(f *testing.F) {
	layouts := sampleLayouts(f)
	seeds(f, layouts)
	f.Fuzz(func(t *testing.T, which uint8, raw []byte, one, other uint8) {
		l := layouts[int(which)%len(layouts)]
		for _, quiet := range []bool{true, false} {
			whole := strings.Join(scan(l, quiet, raw, len(raw)), "\n")
			if cut := strings.Join(scan(l, quiet, raw, int(one), int(other)), "\n"); cut != whole {
				t.Fatalf("in one chunk\n%s\nin chunks of %d and %d\n%s", whole, one, other, cut)
			}
		}
		last := int64(-1)
		s := NewScanner(l, gauge.Millimetre, func(o Outcome) {
			if o.Offset < last || !bytes.HasPrefix(raw[o.Offset:], o.Raw) {
				t.Fatalf("raw %q is not at offset %d", o.Raw, o.Offset)
			}
			last = o.Offset
			if o.Rejection == nil && l.whole != nil && (!l.whole.MatchString(fromLatin1(o.Raw)) || bytes.IndexByte(o.Raw, 0) >= 0) {
				t.Fatalf("%q gave %v without a match", o.Raw, o.Value)
			}
		})
		for _, b := range raw {
			s.Feed([]byte{b}, time.Time{})
			if len(s.held) > s.most || len(s.arrivals) > len(s.held)+1 {
				t.Fatalf("%d bytes and %d arrivals are held", len(s.held), len(s.arrivals))
			}
		}
	})
}

// FuzzDecode: no frame panics, and a value is exactly what it shows.
func FuzzDecode(f *testing.F) {
	layouts := sampleLayouts(f)
	for i, l := range layouts {
		for _, e := range l.good {
			f.Add(uint8(i), e.frame)
		}
	}
	f.Fuzz(func(t *testing.T, which uint8, frame []byte) {
		l := layouts[int(which)%len(layouts)]
		v, err := l.Decode(frame, gauge.Inch)
		if err != nil {
			return
		}
		if shown, err := gauge.ParseLength(v.Shown, v.Unit); err != nil || shown != v.Length {
			t.Errorf("%q shows %q %v but is %d pm (%v)", frame, v.Shown, v.Unit, v.Length, err)
		}
	})
}

// FuzzLayout: no file panics or loads with a mistake, every mistake has a
// place, and a layout that loads is bounded.
func FuzzLayout(f *testing.F) {
	for _, pattern := range []string{"layouts/*.yaml", "../../testdata/layouts/*.yaml"} {
		for _, file := range glob(f, pattern) {
			f.Add(readFile(f, file))
		}
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		l, err := ParseLayout("f", content)
		if (l == nil) != (err != nil) {
			t.Fatalf("layout %v, error %v", l, err)
		}
		if err != nil {
			if !strings.HasPrefix(err.Error(), "f:") {
				t.Errorf("a mistake without a place: %v", err)
			}
			return
		}
		if l.longest < 1 || l.longest > longestFrame || l.Pause < shortestPause || len(l.good) < 2 {
			t.Errorf("a layout out of bounds: %+v", l)
		}
		for _, got := range scan(l, true, bytes.Repeat([]byte{0}, 5000), 100) {
			if !strings.Contains(got, "!") {
				t.Errorf("NUL bytes gave %s", got)
			}
		}
	})
}

// TestMissedPause: when nobody listened while a pause may have passed, what is
// held and what follows without a pause count for nothing, where only pauses
// tell frames apart.
func TestMissedPause(t *testing.T) {
	for name, want := range map[string]string{
		"clocked-bits":    "!half_frame !half_frame 12.34",
		"value-with-unit": "!noise 12.34", // has ends: the bytes of the bits are noise to it
	} {
		var got []string
		s := NewScanner(layout(t, name), gauge.UnitUnknown, func(o Outcome) {
			if o.Rejection != nil {
				got = append(got, "!"+string(o.Rejection.Reason))
			} else {
				got = append(got, strings.Trim(o.Value.Shown, "+0"))
			}
		})
		frame := "\xD2\x04\x40"
		if name == "value-with-unit" {
			frame = "+012.340 mm\r"
		}
		s.Quiet()
		s.Feed([]byte("\x11\x22"), time.Time{})
		s.Missed()
		s.Feed([]byte(frame), time.Time{})
		s.Quiet()
		s.Feed([]byte(frame), time.Time{})
		s.Quiet()
		if name == "value-with-unit" {
			got = got[:2]
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: got %s, want %s", name, strings.Join(got, " "), want)
		}
	}
}
