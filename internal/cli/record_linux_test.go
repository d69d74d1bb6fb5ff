package cli

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"gauged/internal/cli/app"
	"gauged/internal/devices"
	"gauged/internal/shopfile"
	"gauged/internal/simulate"
)

// simulated starts simulated gauges in a directory until the test ends.
func simulated(t *testing.T, dir, gauges string) *simulate.Bench {
	t.Helper()
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	document := shopfile.Parse("scenario.yaml", []byte("gauges:\n"+gauges))
	scenario := simulate.ReadScenario(document.Root(), layouts.Find)
	if err := document.Err(); err != nil {
		t.Fatal(err)
	}
	bench, err := simulate.Start(dir, scenario)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = bench.Close() })
	return bench
}

// TestRecordAndReplay: what a streaming gauge sends over a pseudo-terminal is
// recorded, through an unplug, and played again into another, from which the
// same readings are recorded once more.
func TestRecordAndReplay(t *testing.T) {
	dir := t.TempDir()
	bench := simulated(t, dir, "  dial: {layout: signed-line, mode: stream, every: 20ms, unit: mm, value: 1.250}\n")
	first, second := filepath.Join(dir, "first.jsonl"), filepath.Join(dir, "second.jsonl")
	c := converse(t, "", "record", first, "--layout", "signed-line", "--unit", "mm", "--port", filepath.Join(dir, "dial"), "--remarks", "invented")
	c.out.await(t, "+1.250")
	if err := bench.Unplug("dial"); err != nil {
		t.Fatal(err)
	}
	c.errors.await(t, "the line was hung up")
	if err := bench.Plug("dial"); err != nil {
		t.Fatal(err)
	}
	c.errors.await(t, "the line is back")
	c.out.awaitCount(t, "+1.250 mm", 20)
	c.cancel()
	if code := c.code(); code != app.ExitFine {
		t.Fatalf("exit %d\n%s\n%s", code, c.out.String(), c.errors.String())
	}
	recorded := values(t, first)
	if len(recorded) < 20 {
		t.Fatalf("only %d values were recorded", len(recorded))
	}
	if code, _, stderr := call(t, "", "", "record", first, "--layout", "signed-line", "--unit", "mm", "--port", filepath.Join(dir, "dial")); code != app.ExitFailure || !strings.Contains(stderr, "file exists") {
		t.Errorf("a recording was written over: exit %d, %s", code, stderr)
	}

	link := filepath.Join(dir, "again", "dial")
	played := make(chan string, 1)
	go func() {
		_, _, stderr := call(t, "", "", "replay", first, "--at", link)
		played <- stderr
	}()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		if _, err := os.Stat(link); err == nil {
			break
		}
		if time.Now().After(end) {
			t.Fatal("the recording's port does not appear")
		}
	}
	again := converse(t, "", "record", second, "--layout", "signed-line", "--unit", "mm", "--port", link)
	if text := <-played; !strings.Contains(text, "Played ") {
		t.Errorf("replay said %s", text)
	}
	again.out.awaitCount(t, "+1.250 mm", len(recorded))
	again.cancel()
	if code := again.code(); code != app.ExitFine {
		t.Fatalf("exit %d, %s", code, again.errors.String())
	}
	if got := values(t, second); strings.Join(got, " ") != strings.Join(recorded, " ") {
		t.Errorf("%d values came again, %d were recorded", len(got), len(recorded))
	}
}

// values decodes a recording.
func values(t *testing.T, name string) []string {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rec, err := devices.ReadRecording(name, f)
	if err != nil {
		t.Fatal(err)
	}
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		t.Fatal(err)
	}
	layout, err := layouts.Find(rec.Header.Layout)
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	s := devices.NewScanner(layout, rec.Header.Unit, func(o devices.Outcome) {
		if o.Rejection == nil {
			all = append(all, o.Value.Shown)
		}
	})
	for _, e := range rec.Entries {
		switch {
		case e.Mark == devices.MarkUnplug:
			s.Quiet()
		case e.Dir == devices.In:
			s.FeedTimed(e.Bytes, time.Time{}.Add(e.At))
		}
	}
	return all
}

// TestListen finds the layouts of a gauge that sends and of one that must be
// asked, and says when nothing explains what comes.
func TestListen(t *testing.T) {
	dir := t.TempDir()
	bench := simulated(t, dir, "  dial: {layout: value-with-unit, mode: stream, every: 20ms, unit: mm, value: 1.250}\n"+
		"  asked: {layout: request-reply, unit: in, value: 0.0486}\n  dumb: {layout: signed-line, unit: mm, value: 0}\n"+
		"  clocked: {layout: clocked-bits, every: 60ms, unit: mm, value: 1.25}\n")
	code, stdout, stderr := call(t, "", "", "listen", "--port", filepath.Join(dir, "dial"), "--each", "400ms")
	if code != app.ExitFine || !strings.HasPrefix(strings.Split(stdout, "\n")[1], "value-with-unit") || !strings.Contains(stdout, "layout: value-with-unit\n      port: "+filepath.Join(dir, "dial")) {
		t.Errorf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	if !strings.Contains(stderr, `"+001.250 mm\r\n`) || !strings.Contains(stderr, "  2B 30 30 31 2E 32 35 30 20 6D 6D 0D 0A") {
		t.Errorf("what came is not shown as text and hex:\n%s", stderr)
	}
	code, stdout, stderr = call(t, "", "", "listen", "--port", filepath.Join(dir, "clocked"), "--each", "600ms")
	if code != app.ExitFine || !strings.HasPrefix(strings.Split(stdout, "\n")[1], "clocked-bits") {
		t.Errorf("frames that only the time tells apart: exit %d\n%s\n%s", code, stdout, stderr)
	}
	code, stdout, stderr = call(t, "", "", "listen", "--port", filepath.Join(dir, "asked"), "--each", "1500ms")
	if code != app.ExitFine || !strings.HasPrefix(strings.Split(stdout, "\n")[1], "request-reply") {
		t.Errorf("exit %d\n%s\n%s", code, stdout, stderr)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 300*time.Millisecond)
	defer cancel()
	var out, err output
	if code := invoke(ctx, "", strings.NewReader(""), &out, &err, "listen", "--port", filepath.Join(dir, "dumb"), "--each", "5s"); code != app.ExitFine || out.String() != "" {
		t.Errorf("interrupted: exit %d, %s", code, out.String())
	}
	_ = bench
}

// TestListenToWhatNoLayoutExplains: whoever describes the frames of a gauge sees
// its bytes.
func TestListenToWhatNoLayoutExplains(t *testing.T) {
	control, terminal, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	var writing sync.WaitGroup
	t.Cleanup(func() {
		terminal.Close()
		control.Close()
		writing.Wait()
	})
	writing.Go(func() {
		for err := error(nil); err == nil; time.Sleep(5 * time.Millisecond) {
			_, err = control.Write([]byte("D\x80=17;"))
		}
	})
	code, stdout, stderr := call(t, "", "", "listen", "--port", terminal.Name(), "--each", "40ms")
	if code != app.ExitFailure || stdout != "" || !strings.Contains(stderr, "no shipped layout matches what the gauge sends") {
		t.Errorf("exit %d\n%s", code, stdout)
	}
	if !strings.Contains(stderr, `D\u0080=17;`) || !strings.Contains(stderr, "44 80 3D 31 37 3B") {
		t.Errorf("what came is not shown:\n%s", stderr)
	}
	for _, parity := range []string{"8N1", "7E1", "7O1", "8O1"} {
		if !strings.Contains(stderr, "listening at 9600 baud, "+parity+"\n  ") {
			t.Errorf("not tried: %s", parity)
		}
	}
}

func TestWhereTheGaugeIs(t *testing.T) {
	for args, want := range map[string]string{
		"listen": "gaugectl: say where the gauge is: one of --port, --usb and --tcp (see gaugectl listen --help)\n",
		"record f --layout signed-line --tcp h:1 --port p": "gaugectl: say where the gauge is: one of --port, --usb and --tcp (see gaugectl record --help)\n",
		"record f --port p":                                 "gaugectl: say how the gauge writes: --layout NAME or --layout FILE (see gaugectl record --help)\n",
		"record f --port p --bits 9":                        "gaugectl: the line cannot be set to 9600 baud, 9 bits, parity none, 1 stop bits (see gaugectl record --help)\n",
		"record f --port p --handshake dtr":                 "gaugectl: --handshake \"dtr\" is not known: use none, rts/cts or xon/xoff (see gaugectl record --help)\n",
		"record f --port p --rts=false --handshake rts/cts": "gaugectl: the handshake rts/cts drives RTS: leave --rts out, or choose another handshake (see gaugectl record --help)\n",
		"replay f": "gaugectl: say where the gauge is to be: --at LINK (see gaugectl replay --help)\n",
	} {
		code, _, stderr := call(t, "", "", strings.Fields(args)...)
		if code != app.ExitUsage || stderr != want {
			t.Errorf("%s: exit %d, %s", args, code, stderr)
		}
	}
}
