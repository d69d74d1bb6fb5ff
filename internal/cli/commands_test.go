package cli

import (
	"strings"
	"testing"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

func TestExitCodesAndMessages(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerifyJob())
	f.replay = &pb.ReplayVerdictsResponse{JobCount: 2, VerdictCount: 3, Differences: []string{"job 2: stored conforms, computed does not conform"}}
	serve(t, f, socket)
	cases := []struct {
		args   string
		code   int
		stderr string
	}{
		{"gauges", 0, ""},
		{"job show 3", 0, ""},
		{"job show 4", 1, "gaugectl: there is no job 4\ngaugectl: look at the list\n"},
		{"job capture 3", 1, "gaugectl: dial-2 has not given a reading for 3 s: press its button or look at its cable\n"},
		{"job enter 3 0.078 in", 1, "gaugectl: the procedure output-shaft is in mm: read the gauge in mm\n"},
		{"history file 00", 1, "gaugectl: there is no file with the hash 00\n"},
		{"history replay", 4, "gaugectl: 1 verdict differ from the stored result: keep the history file and look at the differences\n"},
		{"", 2, "gaugectl: say what to do: access, check, checks, completion, decode, drift, evaluate, exit, exits, export, gauge, gauges, history, job, jobs, listen, master, masters, motion, ports, procedure, procedures, recall, record, replay, simulate, status, studies, study, version, watch (see gaugectl --help)\n"},
		{"guages", 2, "gaugectl: \"guages\" is not a command of gaugectl: did you mean gauges? There are access, check, checks, completion, decode, drift, evaluate, exit, exits, export, gauge, gauges, history, job, jobs, listen, master, masters, motion, ports, procedure, procedures, recall, record, replay, simulate, status, studies, study, version, watch (see gaugectl --help)\n"},
		{"history bogus", 2, "gaugectl: \"bogus\" is not a command of gaugectl history; there are backup, file, job, readings, rejects, replay, restore, standings, states, verify (see gaugectl history --help)\n"},
		{"gauges --frob", 2, "gaugectl: unknown flag: --frob (see gaugectl gauges --help)\n"},
		{"gauge show extra more", 2, "gaugectl: 2 arguments given: write gaugectl gauge show GAUGE [flags] (see gaugectl gauge show --help)\n"},
		{"gauge show extra", 1, "gaugectl: there is no gauge \"extra\"\n"},
		{"gauges --output xml", 2, "gaugectl: --output \"xml\" is not known: use table, json or csv (see gaugectl gauges --help)\n"},
		{"gauges --timeout 0s", 2, "gaugectl: --timeout 0s leaves no time for an answer: use a time such as 10s (see gaugectl gauges --help)\n"},
		{"gauges --address tcp://x", 2, "gaugectl: \"tcp://x\" is not an address: use unix:///path, /path or host:port (see gaugectl gauges --help)\n"},
		{"job show", 2, "gaugectl: 0 arguments given: write gaugectl job show JOB [flags] (see gaugectl job show --help)\n"},
		{"job show first", 2, "gaugectl: \"first\" is not the number of a job: gaugectl jobs lists them (see gaugectl job show --help)\n"},
		{"job show 0", 2, "gaugectl: \"0\" is not the number of a job: gaugectl jobs lists them (see gaugectl job show --help)\n"},
		{"job start output-shaft", 2, "gaugectl: say which unit it is: --unit-serial SERIAL (see gaugectl job start --help)\n"},
		{"job start output-shaft --unit-serial 1 --gauge depth", 2, "gaugectl: --gauge \"depth\": write MEASUREMENT=GAUGE, or *=GAUGE for all measurements (see gaugectl job start --help)\n"},
		{"job start output-shaft --unit-serial 1 --gauge a=x --gauge a=y", 2, "gaugectl: --gauge \"a=y\": a has the gauge x already (see gaugectl job start --help)\n"},
		{"job start output-shaft --unit-serial 1 --label order", 2, "gaugectl: --label \"order\": write NAME=TEXT, such as order=A-1042 (see gaugectl job start --help)\n"},
		{"job label 3 order=1 order=2", 2, "gaugectl: \"order=2\": order is 1 already (see gaugectl job label --help)\n"},
		{"jobs --label =A-1042", 2, "gaugectl: --label \"=A-1042\": write NAME=TEXT, such as order=A-1042 (see gaugectl jobs --help)\n"},
		{"job enter 3 0,078mm", 2, "gaugectl: \"0,078\" is not a length: the decimal sign must be a point, not a comma (see gaugectl job enter --help)\n"},
		{"job enter 3 7 inch", 2, "gaugectl: unknown unit \"inch\": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number (see gaugectl job enter --help)\n"},
		{"job enter 3 0.35 nm", 2, "gaugectl: unknown unit \"nm\": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number (see gaugectl job enter --help)\n"},
		{"job enter 3 0,35 N m", 2, "gaugectl: \"0,35\" is not a torque: the decimal sign must be a point, not a comma (see gaugectl job enter --help)\n"},
		{"job enter 3 40 lbf in", 1, "gaugectl: the procedure output-shaft is in mm: read the gauge in mm\n"},
		{"job fit 3 --thickness 1.52Nm", 2, "gaugectl: --thickness: \"N m\" is a unit of torque: use mm, in or um (see gaugectl job fit --help)\n"},
		{"job enter 3 mm", 2, "gaugectl: \"\" is not a length: there are no digits (see gaugectl job enter --help)\n"},
		{"job discard 3", 2, "gaugectl: say why it does not count: --reason WHY (see gaugectl job discard --help)\n"},
		{"job fit 3 --thickness 1.52", 2, "gaugectl: --thickness: \"1.52\" has no unit: write it as 1.52 mm, 1.52 in or 1.52 um (see gaugectl job fit --help)\n"},
		{"job run", 2, "gaugectl: name a procedure for a new job, or --job for one that is open (see gaugectl job run --help)\n"},
		{"job run output-shaft --output json", 2, "gaugectl: gaugectl job run has no JSON: it is a conversation; a program uses its single steps, such as job capture; leave --output out (see gaugectl job run --help)\n"},
		{"job run other --unit-serial 1", 1, "gaugectl: there is no procedure \"other\"\n"},
		{"job verify 3", 1, "gaugectl: job 3 has no verdict yet: measure play\n"},
	}
	for _, c := range cases {
		t.Run(c.args, func(t *testing.T) {
			code, stdout, stderr := call(t, socket, "", strings.Fields(c.args)...)
			if code != c.code || stderr != c.stderr {
				t.Errorf("exit %d, want %d\nstderr %q\n  want %q\nstdout %q", code, c.code, stderr, c.stderr, stdout)
			}
		})
	}
}

func TestUnreachableSaysWhatToDo(t *testing.T) {
	missing := socketPath(t)
	stale := socketPath(t)
	serve(t, newStation(clitest.VerifyJob()), stale)()
	for address, want := range map[string]string{
		missing:       "gaugectl: the daemon is not reachable at unix://" + missing + ": there is no such socket; start it with `gauged --config FILE`, or name another address with --address or GAUGECTL_ADDRESS\n",
		"127.0.0.1:1": "gaugectl: the daemon is not reachable at 127.0.0.1:1: nothing listens there; start it with `gauged --config FILE`, or name another address with --address or GAUGECTL_ADDRESS\n",
	} {
		for _, args := range []string{"gauges", "watch", "job watch 3", "job run --job 3", "history readings"} {
			code, stdout, stderr := call(t, address, "", strings.Fields(args)...)
			if code != app.ExitUnreachable || stderr != want || stdout != "" {
				t.Errorf("%s at %s: exit %d, stdout %q, stderr %q, want %q", args, address, code, stdout, stderr, want)
			}
		}
	}
}

func TestVerdictEndsWith4(t *testing.T) {
	for _, c := range []struct {
		play string
		code int
	}{{"0.062", app.ExitFine}, {"0.310", app.ExitAnswerIsNo}} {
		socket := socketPath(t)
		f := newStation(clitest.VerifyJob())
		f.shown = []string{c.play}
		serve(t, f, socket)
		if code, _, stderr := call(t, socket, "", "job", "capture", "3"); code != app.ExitFine {
			t.Fatalf("capture: exit %d, %s", code, stderr)
		}
		code, stdout, stderr := call(t, socket, "", "job", "verify", "3")
		if code != c.code || stderr != "" || !strings.Contains(stdout, "onform: play +"+c.play+" mm") && !strings.Contains(stdout, "onforms: play +"+c.play+" mm") {
			t.Errorf("play %s: exit %d, want %d; stderr %q; stdout:\n%s", c.play, code, c.code, stderr, stdout)
		}
	}
}

func TestGoldenOutput(t *testing.T) {
	stages := map[string]*pb.Job{
		"measuring": clitest.MeasuringJob(), "measure_again": clitest.AgainJob(), "fit_part": clitest.FitPartJob(), "nothing_fits": clitest.NothingFitsJob(),
		"verify": clitest.VerifyJob(), "conforms": clitest.VerdictJob("0.064"), "does_not_conform": clitest.VerdictJob("0.310"),
	}
	for name, job := range stages {
		t.Run(name, func(t *testing.T) {
			socket := socketPath(t)
			serve(t, newStation(job), socket)
			code, stdout, stderr := call(t, socket, "", "job", "show", "3")
			if code != app.ExitFine {
				t.Fatalf("exit %d: %s", code, stderr)
			}
			golden(t, "job_show_"+name, stdout)
		})
	}
	socket := socketPath(t)
	f := newStation(clitest.FitPartJob())
	f.replay = &pb.ReplayVerdictsResponse{JobCount: 2, VerdictCount: 3}
	for _, digits := range []string{"0.100", "-0.250", "0.300", "0.400", "0.500"} {
		f.store(digits)
	}
	f.shown = []string{"12.000"}
	serve(t, f, socket)
	for name, args := range map[string]string{
		"gauges": "gauges", "gauges_json": "gauges --output json", "jobs": "jobs", "job_show_json": "job show 3 -o json",
		"watch": "watch --after 46 --count 2", "watch_json": "watch --after 46 --count 2 --output json",
		"history_readings": "history readings", "history_readings_page": "history readings --after 48 --page-size 2", "gauge": "gauge show depth-1",
		"history_readings_json": "history readings --after 47 --output json", "history_rejects": "history rejects", "history_states": "history states", "history_standings": "history standings", "masters": "masters", "history_job": "history job 3",
		"history_file": "history file 3f5a", "history_replay": "history replay", "procedures": "procedures", "procedure": "procedure show output-shaft", "job_run_help": "job run --help", "help": "--help",
	} {
		t.Run(name, func(t *testing.T) {
			code, stdout, stderr := call(t, socket, "", strings.Fields(args)...)
			if code != app.ExitFine || stderr != "" {
				t.Fatalf("exit %d: %s", code, stderr)
			}
			golden(t, name, stdout)
		})
	}
}

// TestSteps goes through a job by its single commands.
func TestSteps(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.MeasuringJob())
	f.shown = []string{"12.004", "12.900", "11.996", "-0.050"}
	serve(t, f, socket)
	var all strings.Builder
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"job", "start", "output-shaft", "--unit-serial", "TC-0412", "--gauge", "depth=depth-1", "--gauge", "play=dial-2"}, 0},
		{[]string{"job", "capture", "3"}, 0},
		{[]string{"job", "capture", "3"}, 0},
		{[]string{"job", "discard", "3", "--reason", "indicator slipped"}, 0},
		{[]string{"job", "capture", "3"}, 0},
		{[]string{"job", "enter", "3", "10.000mm"}, 0},
		{[]string{"job", "choose", "3"}, 0},
		{[]string{"job", "fit", "3", "--thickness", "1.938 mm"}, 0},
		{[]string{"job", "enter", "3", "-0.050", "mm"}, 0},
		{[]string{"job", "verify", "3"}, 4},
		{[]string{"job", "fit", "3", "R-186", "--thickness", "1.860mm", "--yes"}, 0},
		{[]string{"job", "enter", "3", "0.138", "mm"}, 0},
		{[]string{"job", "verify", "3"}, 0},
		{[]string{"job", "close", "3"}, 0},
		{[]string{"job", "close", "3"}, 1},
	} {
		code, stdout, stderr := call(t, socket, "", c.args...)
		if code != c.code {
			t.Fatalf("%v: exit %d, want %d: %s", c.args, code, c.code, stderr)
		}
		all.WriteString("$ gaugectl " + strings.Join(c.args, " ") + "\n" + stdout + stderr + "\n")
	}
	golden(t, "job_steps", all.String())
}

func TestCompletionOffersNames(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerifyJob())
	stop := serve(t, f, socket)
	cases := map[string]string{
		"watch ":                            "depth-1\ndial-2\n:4\n",
		"watch di":                          "dial-2\n:4\n",
		"job run ":                          "output-shaft\tEnd play of the output shaft\n:4\n",
		"job show ":                         "3\tTC-0412\n:4\n",
		"gauge show d":                      "depth-1\ndial-2\n:4\n",
		"procedure show ":                   "output-shaft\tEnd play of the output shaft\n:4\n",
		"checks di":                         "dial-2\n:4\n",
		"study record de":                   "depth-1\n:4\n",
		"job start output-shaft --gauge *=": "*=depth-1\n*=dial-2\n:4\n",
		"job enter 3 40 ":                   strings.Join(gauge.Symbols(), "\n") + "\n:4\n",
		"decode --unit ":                    strings.Join(gauge.Symbols(gauge.Sent...), "\n") + "\n:4\n",
		"gauges --output ":                  "table\njson\ncsv\n:4\n",
	}
	for line, want := range cases {
		code, stdout, _ := call(t, socket, "", append([]string{"__complete"}, strings.Split(line, " ")...)...)
		if code != app.ExitFine || stdout != want {
			t.Errorf("%q: exit %d, %q, want %q", line, code, stdout, want)
		}
	}
	stop()
	if code, stdout, _ := call(t, socket, "", "__complete", "watch", ""); code != app.ExitFine || stdout != ":4\n" {
		t.Errorf("without a daemon: exit %d, %q", code, stdout)
	}
}

func TestVersion(t *testing.T) {
	code, stdout, _ := call(t, "/nowhere", "", "version")
	if code != app.ExitFine || !strings.HasPrefix(stdout, "gaugectl ") || strings.Count(stdout, "\n") != 1 {
		t.Errorf("exit %d, %q", code, stdout)
	}
}

func TestReload(t *testing.T) {
	socket := socketPath(t)
	serve(t, newStation(clitest.VerifyJob()), socket)
	for _, want := range []string{"parts rings: version 0123456789ab is in force for jobs that are started from now on.\n", "No file has changed.\n"} {
		if code, stdout, stderr := call(t, socket, "", "procedures", "reload"); code != 0 || stdout != want || stderr != "" {
			t.Errorf("%d, %q, %q", code, stdout, stderr)
		}
	}
	if code, stdout, _ := call(t, socket, "", "procedure", "show", "output-shaft"); code != 0 || !strings.Contains(stdout, "output-shaft") {
		t.Errorf("a procedure is no longer found: %d, %q", code, stdout)
	}
}

// TestStatus: what needs attention is named with the command that says more, and the
// exit code says that there is something.
func TestStatus(t *testing.T) {
	socket := socketPath(t)
	f := newStation(clitest.VerdictJob("0.310"))
	f.more = []*pb.Gauge{{Id: "lever", State: pb.GaugeState_GAUGE_STATE_FAILED, StateReason: clitest.Tell("the port is in use")}}
	serve(t, f, socket)
	code, stdout, stderr := call(t, socket, "", "status")
	if code != app.ExitAnswerIsNo || stderr != "" {
		t.Errorf("exit %d, %q", code, stderr)
	}
	golden(t, "status", strings.ReplaceAll(stdout, socket, "/run/gauged.sock"))
}

// TestStatusOfAQuietStation ends with 0.
func TestStatusOfAQuietStation(t *testing.T) {
	b := newStudyBench(t)
	if code, stdout, stderr := call(t, b.socket, "", "status"); code != app.ExitFine || !strings.Contains(stdout, "Nothing needs attention.") {
		t.Errorf("exit %d, %q, %q", code, stdout, stderr)
	}
}
