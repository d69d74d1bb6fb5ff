package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/cli/app"
)

func TestDecode(t *testing.T) {
	file := filepath.Join(t.TempDir(), "own.yaml")
	layout := "layout: own\ntitle: value and battery\nmode: button\nframe: {ends: [\"\\r\"], longest: 16}\nunit: um\nmatch: '(?P<value>-?[0-9]+)(?P<low_battery>B?)'\n" +
		"good: [{bytes: \"12\\r\", shown: \"12\", unit: um, value: \"12\"}, {bytes: \"-3\\r\", shown: \"-3\", unit: um, value: \"-3\"}]\nbad: [{bytes: \"1-\\r\", reason: layout}]\n"
	if err := os.WriteFile(file, []byte(layout), 0o600); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name, args, input string
		code              int
		stdout, stderr    string
	}{
		{
			"values and rejects", "--layout signed-line --unit mm", "+1.234\r\n-0.000\r\n+1,50\r\nOL\r\n", 4,
			"       0       +1.234 mm  \"+1.234\"\n" +
				"       8       -0.000 mm  \"-0.000\"\n" +
				"      16        rejected  \"+1,50\"  comma: \"+1,50\" has a decimal comma where the layout has a point\n" +
				"      23        rejected  \"OL\"  overrange: the gauge shows \"OL\" instead of a value\n",
			"gaugectl: 2 of 4 frames rejected\n",
		},
		{"no unit", "--layout signed-line", "+1.234\r\n", 4, "       0        rejected  \"+1.234\"  unit: neither the layout nor the gauge's definition states a unit\n", "gaugectl: 1 of 1 frame rejected\n"},
		{"json", "--layout signed-line --unit in -o json", "+0.1234\r\n", 0, `{"seq":"0","gauge_id":"","number":"0","time":null,"value":{"text":"+0.1234","unit":"UNIT_INCH","picometres":"3134360000"},"status":"READING_STATUS_OK","raw":"KzAuMTIzNA==","source":"","source_seq":"0","by":"","upper":null}` + "\n", ""},
		{"json reject", "--layout signed-line --unit in -o json", "OL\r\n", 4, `{"seq":"0","gauge_id":"","time":null,"reason":"REJECT_REASON_OVERRANGE","detail":{"code":"rejected.overrange","arguments":[{"name":"frame","text":"OL"}]},"raw":"T0w="}` + "\n", "gaugectl: 1 of 1 frame rejected\n"},
		{"own layout", "--layout " + file, "12\r7B\r", 0, "       0           12 um  \"12\"\n       3            7 um  \"7B\"  low battery\n", ""},
		{"nothing", "--layout signed-line --unit mm", "", 1, "", "gaugectl: there were no bytes on the input\n"},
		{"no layout", "", "", 2, "", "gaugectl: say how the gauge writes: --layout NAME or --layout FILE (see gaugectl decode --help)\n"},
		{"unknown layout", "--layout none", "", 2, "", "gaugectl: \"none\" is neither a layout file nor a shipped layout; shipped are bcd-digits, channel-and-value, clocked-bits, request-channel, request-reply, signed-line, value-with-unit (see gaugectl decode --help)\n"},
		{"unknown unit", "--layout signed-line --unit cm", "", 2, "", "gaugectl: --unit: unknown unit \"cm\": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm or deg (see gaugectl decode --help)\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			code, stdout, stderr := call(t, "/nowhere", c.input, append([]string{"decode"}, strings.Fields(c.args)...)...)
			if code != c.code || stdout != c.stdout || stderr != c.stderr {
				t.Errorf("exit %d, want %d\nstdout %s  want %s\nstderr %q\n  want %q", code, c.code, stdout, c.stdout, stderr, c.stderr)
			}
		})
	}
}

// TestDecodeCanBeInterrupted holds while the input is silent.
func TestDecodeCanBeInterrupted(t *testing.T) {
	c := converse(t, "/nowhere", "decode", "--layout", "signed-line", "--unit", "mm")
	c.say("+1.234")
	c.say("+1.235")
	c.out.await(t, "+1.234 mm")
	c.cancel()
	if code := c.code(); code != app.ExitFine {
		t.Errorf("exit %d: %s", code, c.errors.String())
	}
}

func TestSimulate(t *testing.T) {
	dir := t.TempDir()
	scenario := filepath.Join(dir, "scenario.yaml")
	content := "gauges:\n  depth-1: {layout: signed-line, unit: mm, value: \"12.004\"}\n"
	if err := os.WriteFile(scenario, []byte(content), 0o600); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "links", "depth-1")
	c := converse(t, "/nowhere", "simulate", scenario, "--dir", filepath.Join(dir, "links"))
	c.out.await(t, "depth-1 is at "+link+": signed-line, button\n")
	if _, err := os.Stat(link); err != nil {
		t.Fatal(err)
	}
	c.say("press nothing")
	c.errors.await(t, "gaugectl: ", "nothing")
	c.say("quit")
	if code := c.code(); code != app.ExitFine {
		t.Errorf("exit %d: %s", code, c.errors.String())
	}
	if _, err := os.Lstat(link); !os.IsNotExist(err) {
		t.Errorf("the link is still there: %v", err)
	}
}

func TestSimulateMistakes(t *testing.T) {
	scenario := filepath.Join(t.TempDir(), "scenario.yaml")
	if err := os.WriteFile(scenario, []byte("gauges:\n  a: {layout: none, unit: cm, value: \"1\"}\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	code, _, stderr := call(t, "/nowhere", "", "simulate", scenario, "--dir", t.TempDir())
	for _, want := range []string{"gaugectl: " + scenario + ":2:15: there is no layout \"none\": there are bcd-digits, channel-and-value, clocked-bits, request-channel, request-reply, signed-line, value-with-unit\ngaugectl: ", "unknown unit \"cm\": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm or deg"} {
		if code != app.ExitFailure || !strings.Contains(stderr, want) {
			t.Errorf("exit %d, %q, want %q", code, stderr, want)
		}
	}
	code, _, stderr = call(t, "/nowhere", "", "simulate", scenario)
	if want := "gaugectl: say where the links to the gauges go: --dir DIR (see gaugectl simulate --help)\n"; code != app.ExitUsage || stderr != want {
		t.Errorf("exit %d, %q, want %q", code, stderr, want)
	}
}
