package cli

import (
	"context"
	"fmt"
	"io"
	"strings"
	"sync"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// runWith is the command line of a new job whose depth comes from a gauge.
func runWith(depth string) []string {
	return []string{"job", "run", "output-shaft", "--unit-serial", "TC-0412", "--gauge", "depth=" + depth, "--gauge", "play=dial-2"}
}

// TestRunScript leads a whole job through a pipe: captures, a typed value, a
// discarded reading, wrong answers, and the verdict.
func TestRunScript(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.shown = []string{"12.004", "12.900", "11.996", "0.064"}
	serve(t, f, socket)
	script := []string{
		"?", "yes", // cautions
		"", "", "d", "d indicator slipped", "", // depth
		"", "10.000", "10,000 mm", "10.000 in", "high", "10.000 mm", // height
		"p R-186", "1.900 mm", "", // the part
		"", "1.938", "1.938 mm", // what was fitted
		"", "", "", // play, verdict, close
	}
	code, stdout, stderr := call(t, socket, strings.Join(script, "\n")+"\n", runWith("dial-2")...)
	if code != app.ExitFine || stderr != "" {
		t.Errorf("exit %d, stderr %q", code, stderr)
	}
	golden(t, "job_run", stdout)
	want := "start capture capture discard capture enter choose fit capture verify close"
	if got := strings.Join(f.calls, " "); got != want {
		t.Errorf("calls: %s, want %s", got, want)
	}
}

// TestRunEnds shows how the ways out of a session end it.
func TestRunEnds(t *testing.T) {
	closed := clitest.VerdictJob("0.064")
	cases := []struct {
		name   string
		job    func() *fakeStation
		script string
		code   int
		stdout string
		stderr string
	}{
		{
			"left", func() *fakeStation { return newStation(clitest.MeasuringJob()) }, "\nq\n", app.ExitFailure,
			"Job 3 stays open. Continue it with: gaugectl job run --job 3", "gaugectl: job 3 was left without a verdict\n",
		},
		{
			"input ended", func() *fakeStation { return newStation(clitest.FitPartJob()) }, "\n", app.ExitFailure,
			"Job 3 stays open. Continue it with: gaugectl job run --job 3", "gaugectl: job 3 was left without a verdict\n",
		},
		{
			"cautions refused", func() *fakeStation { return newStation(clitest.MeasuringJob()) }, "q\n", app.ExitFailure,
			"Cautions", "gaugectl: the cautions were not acknowledged: nothing was done\n",
		},
		{
			"nothing fits", func() *fakeStation { return newStation(clitest.NothingFitsJob()) }, "\n\nq\n", app.ExitAnswerIsNo,
			"No part is recommended: name one with p PART REASON, or measure again.", "",
		},
		{
			"does not conform", func() *fakeStation { return newStation(clitest.VerdictJob("0.310")) }, "\n\n\n", app.ExitAnswerIsNo,
			"Job 3 is closed.", "",
		},
		{
			"verdict left open", func() *fakeStation { return newStation(clitest.VerdictJob("0.064")) }, "\nq\n", app.ExitFine,
			"Job 3 stays open.", "",
		},
		{
			"another part fitted", func() *fakeStation {
				f := newStation(clitest.VerdictJob("0.310"))
				f.shown = []string{"0.140"}
				return f
			}, "\nf\nR-186\n1.860 mm\nn\nR-186\n1.860 mm\ny\n\n\n\n", app.ExitFine,
			"Conforms: play +0.140 mm measured.", "",
		},
		{
			"closed job", func() *fakeStation {
				_, _ = newStation(closed).CloseJob(t.Context(), nil)
				return newStation(closed)
			}, "\n", app.ExitFailure,
			"", "gaugectl: job 3 is closed: gaugectl job show 3 shows it\n",
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			socket := socketPath(t)
			serve(t, c.job(), socket)
			code, stdout, stderr := call(t, socket, c.script, "job", "run", "--job", "3")
			if code != c.code || stderr != c.stderr || !strings.Contains(stdout, c.stdout) {
				t.Errorf("exit %d, want %d; stderr %q, want %q; want %q in stdout:\n%s", code, c.code, stderr, c.stderr, c.stdout, stdout)
			}
		})
	}
}

// conversation is a session that a test talks to.
type conversation struct {
	t      *testing.T
	in     *io.PipeWriter
	out    output
	errors output
	cancel context.CancelFunc
	code   func() int
}

func converse(t *testing.T, socket string, args ...string) *conversation {
	t.Helper()
	reader, writer := io.Pipe()
	ctx, cancel := context.WithCancel(t.Context())
	c := &conversation{t: t, in: writer, cancel: cancel}
	ended := make(chan int, 1)
	go func() { ended <- invoke(ctx, socket, reader, &c.out, &c.errors, args...) }()
	c.code = sync.OnceValue(func() int { return <-ended })
	t.Cleanup(func() {
		cancel()
		writer.Close()
		c.code()
	})
	return c
}

func (c *conversation) say(line string) {
	c.t.Helper()
	if _, err := fmt.Fprintln(c.in, line); err != nil {
		c.t.Fatal(err)
	}
}

// TestRunShowsButtonReadings takes readings that come by a gauge's button.
func TestRunShowsButtonReadings(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	serve(t, f, socket)
	c := converse(t, socket, runWith("depth-1")...)
	c.out.await(t, "Read and understood?")
	c.say("")
	c.out.await(t, "Gauge depth-1: press its button.")
	c.say("")
	c.out.await(t, "Gauge depth-1 sends at the press of its button only: press it.")
	f.press("12.004")
	c.out.await(t, "#41  12.004 mm  depth, reading 1 of 2, from depth-1")
	f.press("11.996")
	c.out.await(t, "#42  11.996 mm  depth, reading 2 of 2, from depth-1", "spread 0.008 mm, limit 0.020 mm", "Measure 2 of 2: height")
	c.cancel()
	if code := c.code(); code != app.ExitFailure {
		t.Errorf("interrupted: exit %d", code)
	}
	c.out.await(t, "Job 3 stays open.")
}

// TestRunSurvivesALostDaemon stops the daemon in the middle of a job, and
// starts it again with one more reading.
func TestRunSurvivesALostDaemon(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	stop := serve(t, f, socket)
	c := converse(t, socket, runWith("depth-1")...)
	c.say("")
	c.out.await(t, "Gauge depth-1: press its button.")
	f.press("12.004")
	c.out.await(t, "#41")
	stop()
	c.out.await(t, "The session has lost the connection to the daemon at unix://"+socket, "Waiting for it. What was stored is safe. q leaves.")
	c.say("10.000 mm")
	c.out.await(t, "Not done: no connection to the daemon.")
	f.press("11.996")
	f.shown = []string{"0.064"}
	serve(t, f, socket)
	c.out.await(t, "The daemon is back.", "#42  11.996 mm  depth, reading 2 of 2", "Measure 2 of 2: height")
	for _, line := range []string{"10.000 mm", "", "", "", "", "", ""} {
		c.say(line)
	}
	if code := c.code(); code != app.ExitFine {
		t.Errorf("exit %d: %s\n%s", code, c.errors.String(), c.out.String())
	}
	if n := strings.Count(c.out.String(), "reading 1 of 2, from depth-1"); n != 1 {
		t.Errorf("reading 41 was shown %d times", n)
	}
}

// TestWatchSurvivesALostDaemon resumes after the last reading shown.
func TestWatchSurvivesALostDaemon(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	stop := serve(t, f, socket)
	c := converse(t, socket, "watch", "--count", "4")
	c.out.await(t, "watching after entry 0")
	f.store("0.100")
	f.store("0.200")
	c.out.await(t, "0.200 mm")
	stop()
	c.errors.await(t, "gaugectl: lost the connection to the daemon at unix://"+socket)
	f.store("0.300")
	serve(t, f, socket)
	c.errors.await(t, "gaugectl: the daemon is back; going on after entry 43")
	c.out.await(t, "0.300 mm")
	f.store("0.400")
	if code := c.code(); code != app.ExitFine {
		t.Errorf("exit %d: %s", code, c.errors.String())
	}
	for _, digits := range []string{"0.100", "0.200", "0.300", "0.400"} {
		if n := strings.Count(c.out.String(), digits+" mm"); n != 1 {
			t.Errorf("%s mm was shown %d times:\n%s", digits, n, c.out.String())
		}
	}
}

// TestWatchJobUntilClosed shows each change and ends with the job.
func TestWatchJobUntilClosed(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerdictJob("0.064"))
	serve(t, f, socket)
	c := converse(t, socket, "job", "watch", "3")
	c.out.await(t, "-- job 3, entry 49 --\nConforms: play +0.064 mm measured.")
	if _, err := f.CloseJob(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	if code := c.code(); code != app.ExitFine {
		t.Errorf("exit %d: %s", code, c.errors.String())
	}
	c.out.await(t, "-- job 3, entry 50 --")
}

// TestWatchEndsFineWhenInterrupted holds for both watches.
func TestWatchEndsFineWhenInterrupted(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.VerifyJob()), socket)
	for _, args := range [][]string{{"watch"}, {"job", "watch", "3"}} {
		c := converse(t, socket, args...)
		c.out.await(t, "entry")
		c.cancel()
		if code := c.code(); code != app.ExitFine || c.errors.String() != "" {
			t.Errorf("%v: exit %d, %q", args, code, c.errors.String())
		}
	}
}
