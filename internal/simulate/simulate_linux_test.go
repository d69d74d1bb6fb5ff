package simulate

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
	"gauged/internal/words"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const within = 10 * time.Second // for what takes milliseconds on an idle machine

func scenario(t *testing.T, content string) ([]Gauge, error) {
	t.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	doc := shopfile.Parse("s", []byte(content))
	gauges := ReadScenario(doc.Root(), layouts.Find)
	return gauges, doc.Err()
}

// start starts a bench with one gauge and opens its port.
func start(t *testing.T, content string) (*Bench, *os.File) {
	t.Helper()
	gauges, err := scenario(t, content)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Start(t.TempDir(), gauges)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b, open(t, b.Line(gauges[0].Name).Link())
}

func open(t *testing.T, path string) *os.File {
	t.Helper()
	port, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { port.Close() })
	return port
}

// lines reads n frames that end in a line feed, or in a carriage return when
// the gauge has no other end.
func read(t *testing.T, port *os.File, n int, end string) []string {
	t.Helper()
	if err := port.SetReadDeadline(time.Now().Add(within)); err != nil {
		t.Fatal(err)
	}
	var got []byte
	for bytes.Count(got, []byte(end)) < n {
		buf := make([]byte, 1)
		if _, err := port.Read(buf); err != nil {
			t.Fatalf("after %q: %v", got, err)
		}
		got = append(got, buf...)
	}
	return strings.Split(strings.TrimSuffix(string(got), end), end)
}

func TestButtonGauge(t *testing.T) {
	b, port := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1.2345}\n")
	commands := "press gap\n\nset gap -0.048\npress gap\nsend gap 414243\nset gap 1,0\nset gap 1000\npress dial\njump\nsend gap 4\nplug gap\nquit\npress gap\n"
	var failed []string
	for line := range strings.Lines(commands) {
		err := b.Do(strings.TrimSuffix(line, "\n"))
		if errors.Is(err, ErrQuit) {
			break
		}
		if err != nil {
			failed = append(failed, words.In(words.English).Error(err))
		}
	}
	got := read(t, port, 2, "\r\n")
	if want := []string{"+001.234 mm", "-000.048 mm"}; strings.Join(got, "|") != strings.Join(want, "|") {
		t.Errorf("got %q, want %q", got, want)
	}
	rest := make([]byte, 3)
	if _, err := io.ReadFull(port, rest); err != nil || string(rest) != "ABC" {
		t.Errorf("sent bytes: %q, %v", rest, err)
	}
	want := []string{
		`"1,0" is not a length: the decimal sign must be a point, not a comma`,
		"layout value-with-unit cannot write 1000.000 mm: add a good example of that shape",
		`there is no gauge "dial": there are gap`,
		"\"jump\" is not a command; the commands are\n" + strings.Join(forms(), "\n"),
		`"4" is not bytes in hex: write two digits for each, such as 2b31`,
		b.Line("gap").Link() + " is plugged in already",
	}
	if strings.Join(failed, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(failed, "\n"), strings.Join(want, "\n"))
	}
}

func TestNothingIsEchoed(t *testing.T) {
	b, port := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1}\n")
	if err := b.Press("gap"); err != nil {
		t.Fatal(err)
	}
	read(t, port, 1, "\r\n")
	line := b.Line("gap")
	if err := line.SetReadDeadline(time.Now().Add(50 * time.Millisecond)); err != nil {
		t.Fatal(err)
	}
	buf := make([]byte, 64)
	if n, err := line.Read(buf); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("the gauge hears %q, %v", buf[:n], err)
	}
}

func TestWhatNobodyHearsIsLost(t *testing.T) {
	b, port := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1}\n")
	port.Close()
	for end := time.Now().Add(within); b.Line("gap").Listening(); time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the closed port still listens")
		}
	}
	if err := b.Press("gap"); err != nil {
		t.Fatal(err)
	}
	port = open(t, b.Line("gap").Link())
	if err := errors.Join(b.Set("gap", "2"), b.Press("gap")); err != nil {
		t.Fatal(err)
	}
	if got := read(t, port, 1, "\r\n"); got[0] != "+002.000 mm" {
		t.Errorf("got %q", got)
	}
}

func TestASlowReaderBlocksNobody(t *testing.T) {
	b, _ := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1}\n")
	for range 300 { // much more than a terminal holds
		if err := b.Send("gap", bytes.Repeat([]byte("U"), 1024)); err != nil {
			t.Fatal(err)
		}
	}
}

func TestStreamIsReproducible(t *testing.T) {
	content := "gauges:\n  stand: {layout: signed-line, unit: mm, mode: stream, every: 2ms, value: 0.5, noise: 0.004, scatter: 0.01, seed: 7}\n"
	var runs []string
	for range 2 {
		gauges, err := scenario(t, content)
		if err != nil {
			t.Fatal(err)
		}
		p := newPlayer(t.TempDir(), gauges[0])
		var frames []string
		different := map[string]bool{}
		for range 50 {
			frame, err := p.frame(time.Now())
			if err != nil {
				t.Fatal(err)
			}
			frames = append(frames, string(frame))
			different[string(frame)] = true
			v, err := p.Layout.Decode(bytes.TrimSpace(frame), gauge.Millimetre)
			if err != nil || (v.Length-p.Value).Abs() > p.Noise+p.Scatter {
				t.Errorf("frame %q is %v, %v", frame, v, err)
			}
		}
		if len(different) < 5 {
			t.Errorf("the noise gives only %d values", len(different))
		}
		runs = append(runs, strings.Join(frames, ""))
	}
	if runs[0] != runs[1] {
		t.Error("the same seed gave different readings")
	}
	_, port := start(t, content)
	if got := read(t, port, 5, "\r\n"); len(got) != 5 {
		t.Errorf("got %q", got)
	}
}

func TestPolledGaugeAnswersEachRequest(t *testing.T) {
	_, port := start(t, "gauges:\n  depth: {layout: request-reply, unit: in, value: 0.0486, decimals: 4}\n")
	for range 3 {
		if _, err := port.Write([]byte("?")); err != nil {
			t.Fatal(err)
		}
		if _, err := port.Write([]byte("\r")); err != nil {
			t.Fatal(err)
		}
		if got := read(t, port, 1, "\r"); got[0] != "V=+0.0486;in" {
			t.Errorf("got %q", got)
		}
	}
}

func TestUnplugAndPlug(t *testing.T) {
	b, port := start(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1}\n")
	link := b.Line("gap").Link()
	before, err := os.Readlink(link)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Unplug("gap"); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Lstat(link); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the link is still there: %v", err)
	}
	if n, err := port.Read(make([]byte, 8)); n != 0 || err == nil {
		t.Errorf("the old port gives %d, %v", n, err)
	}
	if err := b.Press("gap"); err != nil {
		t.Errorf("a press without a plug: %v", err)
	}
	if err := b.Unplug("gap"); err == nil || words.In(words.English).Error(err) != link+" is not plugged in" {
		t.Errorf("got %v", err)
	}
	if err := b.Plug("gap"); err != nil {
		t.Fatal(err)
	}
	if after, err := os.Readlink(link); err != nil || after == before {
		t.Errorf("the port is %s again while the old one is open (%v)", after, err)
	}
	again := open(t, link)
	if err := b.Press("gap"); err != nil {
		t.Fatal(err)
	}
	if got := read(t, again, 1, "\r\n"); got[0] != "+001.000 mm" {
		t.Errorf("got %q", got)
	}
}

func TestStartTakesOverAnOldLinkButNoFile(t *testing.T) {
	dir := t.TempDir()
	if err := os.Symlink("/nowhere", filepath.Join(dir, "gap")); err != nil {
		t.Fatal(err)
	}
	gauges, err := scenario(t, "gauges:\n  gap: {layout: value-with-unit, unit: mm, value: 1}\n")
	if err != nil {
		t.Fatal(err)
	}
	b, err := Start(dir, gauges)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "gap"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(dir, gauges); !errors.Is(err, os.ErrExist) {
		t.Errorf("a file was replaced: %v", err)
	}
}

func TestBadScenarios(t *testing.T) {
	cases := []struct{ name, content, want string }{
		{"empty", "gauges: {}\nspeed: 2\n", `s:2:1: "speed" is not a key here; the keys are gauges`},
		{"no layout", "gauges: {a: {layout: odd, unit: mm, value: 1}}", `s:1:22: there is no layout "odd": there are bcd-digits, channel-and-value, clocked-bits, request-channel, request-reply, signed-line, value-with-unit`},
		{"mode", "gauges: {a: {layout: signed-line, unit: mm, value: 1, mode: poll}}", "s:1:61: the layout signed-line has no request to answer"},
		{"value", "gauges: {a: {layout: value-with-unit, unit: mm, value: 4000}}", "s:1:13: layout value-with-unit cannot write 4000.000 mm: add a good example of that shape"},
		{"noise", "gauges: {a: {layout: value-with-unit, unit: mm, value: 1, noise: -1}}", `s:1:66: "-1" is not between 0 and a metre`},
		{"every", "gauges: {a: {layout: value-with-unit, unit: mm, value: 1, every: 1us}}", `s:1:66: "1us" is too short: at least 1ms`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := scenario(t, c.content)
			if err == nil || err.Error() != c.want {
				t.Errorf("\n got %v\nwant %s", err, c.want)
			}
		})
	}
}
