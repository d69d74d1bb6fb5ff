package devices

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Update is shared with the tests outside the package.
var Update = flag.Bool("update", false, "rewrite the .want files")

// layout returns a shipped layout.
func layout(t testing.TB, name string) *Layout {
	t.Helper()
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	l, err := layouts.Find(name)
	if err != nil {
		t.Fatalf("layout %s is not shipped", name)
	}
	return l
}

func TestShippedLayoutsLoad(t *testing.T) {
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	if len(layouts) != 7 {
		t.Errorf("%d layouts are shipped, want 7", len(layouts))
	}
	for name, l := range layouts {
		if l.syncing != (l.bits == nil) { // bits are told apart by the pause between frames
			t.Errorf("layout %s: self-synchronising %v", name, l.syncing)
		}
	}
	twice := layouts.Add(layouts["signed-line"])
	if twice == nil || words.In(words.English).Error(twice) != `there are two layouts with the name "signed-line": give yours another name` {
		t.Errorf("got %v", twice)
	}
}

// wanted compares with a golden file, or rewrites it.
func wanted(t *testing.T, path, got string) {
	t.Helper()
	if *Update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s:\n got\n%s\nwant\n%s", path, got, want)
	}
}

func glob(t testing.TB, pattern string) []string {
	t.Helper()
	files, err := filepath.Glob(pattern)
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatalf("there is no %s: this test would prove nothing", pattern)
	}
	return files
}

// readSample reads a layout from the repository's testdata.
func readSample(t testing.TB, name string) (*Layout, error) {
	t.Helper()
	content, err := os.ReadFile(filepath.Join("../../testdata/layouts", name))
	if err != nil {
		t.Fatal(err)
	}
	return ParseLayout(name, content)
}

func TestBadLayouts(t *testing.T) {
	for _, file := range glob(t, "../../testdata/layouts/*.bad.yaml") {
		t.Run(filepath.Base(file), func(t *testing.T) {
			l, err := readSample(t, filepath.Base(file))
			if l != nil || err == nil {
				t.Fatalf("the layout loads")
			}
			wanted(t, strings.TrimSuffix(file, ".yaml")+".want", err.Error()+"\n")
		})
	}
}

func TestGoodLayouts(t *testing.T) {
	for _, file := range glob(t, "../../testdata/layouts/*.good.yaml") {
		if _, err := readSample(t, filepath.Base(file)); err != nil {
			t.Error(err)
		}
	}
}

func TestSelfSynchronising(t *testing.T) {
	l, err := readSample(t, "unsigned-tail.good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if l.syncing {
		t.Error("a layout whose tails are frames passes for self-synchronising")
	}
}

func TestDecode(t *testing.T) {
	comma, err := readSample(t, "decimal-comma.good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	signed, unitful := layout(t, "signed-line"), layout(t, "value-with-unit")
	cases := []struct {
		name   string
		layout *Layout
		unit   gauge.Unit
		frame  string
		want   string
	}{
		{"value", signed, gauge.Millimetre, "+1.234", `"+1.234" mm, value 1.234`},
		{"unit of the definition", signed, gauge.Inch, "-0.00005", `"-0.00005" in, value -0.00005`},
		{"negative zero", signed, gauge.Millimetre, "-0.000", `"-0.000" mm, value 0`},
		{"no unit anywhere", signed, gauge.UnitUnknown, "+1.234", "unit: neither the layout nor the gauge's definition states a unit"},
		{"decimal comma", signed, gauge.Millimetre, "+1,234", `comma: "+1,234" has a decimal comma where the layout has a point`},
		{"overrange", signed, gauge.Millimetre, "-OL", `overrange: the gauge shows "-OL" instead of a value`},
		{"parity error", signed, gauge.Millimetre, "+1.\x0034", `noise: byte 4 of "+1.\x0034" is 0x00, which cannot stand in this layout`},
		{"letters", signed, gauge.Millimetre, "+1.2O4", `layout: "+1.2O4" does not match the layout`},
		{"Unicode minus", signed, gauge.Millimetre, "\xe2\x88\x921.234", `noise: byte 1 of "` + "\u2212" + `1.234" is 0xe2, which cannot stand in this layout`},
		{"unit in the frame", unitful, gauge.UnitUnknown, "+00.4860 in", `"+00.4860" in, value 0.486`},
		{"unit unknown to the layout", unitful, gauge.UnitUnknown, "+012.345 cm", `unit: the frame has the unit "cm"; the layout knows in, mm`},
		{"unit against the definition", unitful, gauge.Inch, "+012.345 mm", "unit: the gauge sent mm, its definition says in"},
		{"low battery", unitful, gauge.UnitUnknown, "+012.345 mm B", `"+012.345" mm, value 12.345, low battery`},
		{"comma, blanks and a byte above 0x7f", comma, gauge.UnitUnknown, "D\xb1-  1,50", `"-1.50" mm, value -1.5`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v, err := c.layout.Decode([]byte(c.frame), c.unit)
			got := v.String()
			if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("\n got %s\nwant %s", got, c.want)
			}
		})
	}
}

// TestNumberTooLarge uses a layout that lets through more digits than a length has.
func TestNumberTooLarge(t *testing.T) {
	content := `layout: long
title: Too many digits
mode: button
frame: {ends: "\r", longest: 40}
match: '(?P<value>-?\d+\.\d+)'
unit: mm
good:
  - {bytes: "1.0\r", shown: "1.0", unit: mm, value: "1"}
  - {bytes: "-1.0\r", shown: "-1.0", unit: mm, value: "-1"}
bad:
  - {bytes: "99999999999999999999.0\r", reason: number}
  - {bytes: "0.0000000000001\r", reason: number}
`
	l, err := ParseLayout("long.yaml", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	_, err = l.Decode([]byte("99999999999999999999.0"), gauge.UnitUnknown)
	if want := `number: "99999999999999999999.0" is not a length: it is larger than one kilometre`; err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestEncodeReadsBackExactly(t *testing.T) {
	layouts, err := ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	text := map[gauge.Unit][]string{
		gauge.Millimetre: {"0.000", "1.234", "-0.048", "12.345", "-100.000"},
		gauge.Inch:       {"0.0486", "-0.0019"},
	}
	of := map[string]map[gauge.Unit][]string{
		"clocked-bits":    {gauge.Millimetre: {"0.00", "12.34", "-0.05", "-100.00"}, gauge.Inch: {"0.0486", "-0.0019"}},
		"request-channel": {gauge.Millimetre: text[gauge.Millimetre]},
		"bcd-digits":      {gauge.Millimetre: {"0.000", "12.340", "12.345", "-0.050", "-100.005"}, gauge.Inch: {"0.0480", "-0.1235"}},
	}
	for name, l := range layouts {
		units, bits := of[name]
		if !bits {
			units = text
		}
		for unit, texts := range units {
			for _, text := range texts {
				value := gauge.MustLength(text, unit)
				_, fraction, _ := strings.Cut(text, ".")
				frame, err := l.Encode(value, unit, len(fraction), "")
				if err != nil {
					t.Error(err)
					continue
				}
				outcomes := l.try(frame, unit)
				if len(outcomes) != 1 || outcomes[0].Value.Length != value || outcomes[0].Value.Unit != unit {
					t.Errorf("layout %s wrote %s %v as %q, which is %s", l.Name, text, unit, frame, describe(outcomes))
				}
			}
		}
	}
	_, err = layouts["value-with-unit"].Encode(gauge.MustLength("1000.000", gauge.Millimetre), gauge.Millimetre, 3, "")
	if want := "layout value-with-unit cannot write 1000.000 mm: add a good example of that shape"; err == nil || told(gauge.Told(err)) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if _, err := layouts["signed-line"].Encode(1, gauge.Millimetre, 3, ""); err == nil {
		t.Error("a value finer than its decimals was written")
	}
}

func TestArrivalIsOfTheFirstByteOfTheFrame(t *testing.T) {
	l := layout(t, "value-with-unit")
	start := time.Unix(100, 0)
	var got []Outcome
	s := NewScanner(l, gauge.UnitUnknown, func(o Outcome) { got = append(got, o) })
	s.Quiet()
	s.Feed([]byte("\x00\x01"), start)
	s.Feed([]byte("+0"), start.Add(time.Second))
	s.Feed([]byte("12.345 mm\r\n"), start.Add(2*time.Second))
	if len(got) != 2 || got[0].Rejection.Reason != gauge.ReasonNoise || !got[0].At.Equal(start) {
		t.Fatalf("got %s", describe(got))
	}
	if got[1].Rejection != nil || !got[1].At.Equal(start.Add(time.Second)) || got[1].Offset != 2 {
		t.Errorf("the frame arrived at %v, offset %d", got[1].At, got[1].Offset)
	}
}
