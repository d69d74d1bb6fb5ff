package devices

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// numberLayout is an invented layout of digits without a point.
func numberLayout(keys, match, good string) string {
	return "layout: counts\ntitle: Digits without a point\nmode: button\nunits: {M: mm, I: in}\nframe: {ends: \"\\r\", longest: 16}\n" +
		keys + "\nmatch: '" + match + "'\ngood:\n" + good + "bad:\n  - {bytes: \"x\\r\", reason: noise}\n"
}

func TestPointByPositionOrByDigit(t *testing.T) {
	cases := []struct{ name, content, frame, want string }{
		{
			"by position", numberLayout("decimals: {mm: 3, in: 5}", `(?P<value>[+-]\d{6})(?P<unit>[MI])`,
				"  - {bytes: \"+012345M\\r\", shown: \"+012.345\", unit: mm, value: \"12.345\"}\n  - {bytes: \"-000048I\\r\", shown: \"-0.00048\", unit: in, value: \"-0.00048\"}\n"),
			"-100001M", `"-100.001" mm, value -100.001`,
		},
		{
			"by digit", numberLayout("", `(?P<value>[+-]\d{6})(?P<decimals>\d)(?P<unit>[MI])`,
				"  - {bytes: \"+0123453M\\r\", shown: \"+012.345\", unit: mm, value: \"12.345\"}\n  - {bytes: \"-0000485I\\r\", shown: \"-0.00048\", unit: in, value: \"-0.00048\"}\n"),
			"+0123452M", `"+0123.45" mm, value 123.45`,
		},
		{
			"counts of half a micrometre", numberLayout("decimals: 3\nscale: 0.5", `(?P<value>[+-]\d{6})(?P<unit>[MI])`,
				"  - {bytes: \"+000003M\\r\", shown: \"+0.0015\", unit: mm, value: \"0.0015\"}\n  - {bytes: \"-012345M\\r\", shown: \"-6.1725\", unit: mm, value: \"-6.1725\"}\n"),
			"+000001M", `"+0.0005" mm, value 0.0005`,
		},
	}
	for _, c := range cases {
		l, err := ParseLayout("n.yaml", []byte(c.content))
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		v, err := l.Decode([]byte(c.frame), gauge.UnitUnknown)
		if err != nil || v.String() != c.want {
			t.Errorf("%s: %v, %v; want %s", c.name, v, err, c.want)
		}
		if c.name == "by digit" {
			continue // which digit a simulated gauge has is its own affair
		}
		frame, err := l.Encode(-v.Length, v.Unit, 3, "")
		if c.name == "counts of half a micrometre" {
			frame, err = l.Encode(gauge.MustLength("1.5", gauge.Millimetre), gauge.Millimetre, 3, "")
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if back, err := l.Decode(frame[:len(frame)-1], gauge.UnitUnknown); err != nil || back.Length != -v.Length && back.Shown != "+1.5000" {
			t.Errorf("%s: %q gives %v, %v", c.name, frame, back, err)
		}
	}
}

func TestBadNumbers(t *testing.T) {
	const good = "  - {bytes: \"+000003M\\r\", shown: \"+0.003\", unit: mm, value: \"0.003\"}\n  - {bytes: \"-000003M\\r\", shown: \"-0.003\", unit: mm, value: \"-0.003\"}\n"
	for keys, want := range map[string]string{
		"decimals: 10":            `n.yaml:6:11: "10" is not a whole number from 0 to 9`,
		"decimals: 3\nscale: -2":  `n.yaml:7:8: "-2" is no factor: write a plain decimal above zero, such as 0.5`,
		"decimals: 3\nscale: 1e3": `n.yaml:7:8: "1e3" is no factor: write a plain decimal above zero, such as 0.5`,
		"decimals: 3\nscale: 0.0": `n.yaml:7:8: "0.0" is no factor: write a plain decimal above zero, such as 0.5`,
	} {
		_, err := ParseLayout("n.yaml", []byte(numberLayout(keys, `(?P<value>[+-]\d{6})(?P<unit>[MI])`, good)))
		if err == nil || strings.Split(err.Error(), "\n")[0] != want {
			t.Errorf("%q\n got %v\nwant %s", keys, err, want)
		}
	}
}
