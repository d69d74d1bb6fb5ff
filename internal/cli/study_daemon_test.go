package cli

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/order"
	"gauged/internal/health/study"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/server"
	"gauged/internal/station"
)

// studyBench is a real daemon with a gauge "dial" that has a data button, and a
// "micrometer" that is read by eye.
type studyBench struct {
	*station.Station
	t      *testing.T
	socket string
}

func newStudyBench(t *testing.T) *studyBench { return newStudyBenchAt(t, time.Now) }

func newStudyBenchAt(t *testing.T, now func() time.Time) *studyBench {
	t.Helper()
	library, err := library.New(context.Background().Err, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	return newBenchWith(t, library, now)
}

// newBenchWith is the bench with procedures.
func newBenchWith(t *testing.T, library *library.Library, now func() time.Time) *studyBench {
	t.Helper()
	b := &studyBench{t: t, socket: socketPath(t)}
	block := func(id, value string) check.Master {
		return check.Master{ID: id, Value: gauge.MustLength(value, gauge.Millimetre)}
	}
	limit, step := gauge.MustLength("0.008", gauge.Millimetre), gauge.MustLength("0.001", gauge.Millimetre)
	var err error
	b.Station, err = station.New(t.Context(), station.Options{
		Store: historytest.OpenAt(t, filepath.Join(t.TempDir(), "history.db")), Library: library, Now: now,
		Gauges: []station.GaugeInfo{
			{ID: "dial", Mode: gauge.ModeButton, Unit: gauge.Millimetre},
			{ID: "micrometer", Mode: gauge.ModeTyped, Unit: gauge.Millimetre, Ability: gauge.Ability{Error: &limit, Resolution: &step}},
		},
		Masters: map[string]check.Master{"zero": block("zero", "0"), "block-1": block("block-1", "1"), "block-5": block("block-5", "5"), "block-9": block("block-9", "9")},
		Plans:   map[string]*check.Plan{"micrometer": {ZeroWithin: &limit}},
	})
	if err != nil {
		t.Fatal(err)
	}
	listener, err := access.ListenUnix(b.socket)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	s := server.New(server.Options{Station: b.Station, Guard: &access.Guard{Rules: access.Rules{Open: true}}, Log: slog.New(slog.DiscardHandler)})
	var running sync.WaitGroup
	running.Go(func() { b.Run(ctx) })
	running.Go(func() {
		if err := s.Serve(listener); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(func() {
		ending, stop := context.WithTimeout(context.Background(), 3*time.Second)
		defer stop()
		_ = s.Shutdown(ending)
		cancel()
		running.Wait()
	})
	return b
}

// press is the button of the gauge; it returns when the reading is stored.
func (b *studyBench) press(shown string) uint64 {
	b.t.Helper()
	before := b.Newest()
	b.Report(station.Report{Reading: &gauge.Reading{
		Gauge: "dial", Time: time.Now(), Value: gauge.MustLength(shown, gauge.Millimetre), Shown: shown, Unit: gauge.Millimetre, Status: gauge.StatusOK, Raw: []byte(shown + "\r"),
	}})
	deadline := time.Now().Add(20 * time.Second)
	for b.Newest() == before {
		if time.Now().After(deadline) {
			b.t.Fatal("the reading was not stored")
		}
		time.Sleep(time.Millisecond)
	}
	return b.Newest()
}

// guided runs study record, hands over the keyboard, and waits for the end.
type guided struct {
	stdout, stderr output
	keys           *io.PipeWriter
	ended          chan int
}

func (b *studyBench) guide(args ...string) *guided {
	g := &guided{ended: make(chan int, 1)}
	var in *io.PipeReader
	in, g.keys = io.Pipe()
	go func() {
		code := invoke(b.t.Context(), b.socket, in, &g.stdout, &g.stderr, append([]string{"study", "record"}, args...)...)
		_ = in.Close()
		g.ended <- code
	}()
	return g
}

func (g *guided) wait(t *testing.T) int {
	t.Helper()
	select {
	case code := <-g.ended:
		_ = g.keys.Close()
		return code
	case <-time.After(20 * time.Second):
		t.Fatalf("it does not end:\n%s", g.stderr.String())
		return 0
	}
}

func (g *guided) typed(t *testing.T, line string) {
	t.Helper()
	if _, err := io.WriteString(g.keys, line+"\n"); err != nil {
		t.Fatal(err)
	}
}

// shownBy is what a person reads at a part, in the trial.
func shownBy(row order.Step) string {
	part := map[string]float64{"1": 10, "2": 10.1, "3": 10.2}[row.Part]
	person := map[string]float64{"Ann": 0, "Ben": 0.004}[row.Person]
	trial := map[string]float64{"1": 0.001, "2": -0.002}[row.Trial]
	return fmt.Sprintf("%.3f", part+person+trial)
}

// TestStudyAtTheBench: a crossed study from the first reading to the stored result,
// with a reading taken back, one typed, an interruption, and the same order again.
func TestStudyAtTheBench(t *testing.T) {
	b := newStudyBench(t)
	file := filepath.Join(t.TempDir(), "dial.csv")
	args := strings.Fields("dial --kind crossed --parts 3 --persons Ann,Ben --trials 2 --seed 7 --tolerance 500um --remark yearly --sheet " + file)
	planned, err := order.Plan{Kind: study.CrossedKind, Parts: "3", Persons: []string{"Ann", "Ben"}, Trials: 2, Seed: 7, Tolerance: "0.5"}.Steps()
	if err != nil {
		t.Fatal(err)
	}
	prompt := func(i int) string {
		return fmt.Sprintf("part %s, trial %s: reading %d of 12\n", planned[i].Part, planned[i].Trial, i+1)
	}
	g := b.guide(args...)
	g.stderr.await(t, "Now Ann measures.\n", prompt(0))
	b.press("99.999")
	g.stderr.await(t, "  99.999 mm\n"+prompt(1))
	g.typed(t, "d")
	g.stderr.await(t, "  discarded: 99.999 mm\n"+prompt(0))
	g.typed(t, "10.1")
	g.stderr.await(t, `  "10.1" has no unit: write it as 10.1 mm, 10.1 in or 10.1 um; Enter takes the reading, d discards the last one, q leaves`)
	g.typed(t, "10.1..10.2 mm")
	g.stderr.await(t, `  "10.1..10.2" is an interval: a study needs a single value; `)
	g.typed(t, shownBy(planned[0])+" in")
	g.stderr.await(t, " in\n"+prompt(1))
	b.press(shownBy(planned[1]))
	g.stderr.await(t, "the reading is in mm, the study in in: one study has one unit; it is not taken\n")
	g.typed(t, "d")
	g.stderr.await(t, "  discarded: "+shownBy(planned[0])+" in\n")
	g.typed(t, shownBy(planned[0])+" mm")
	g.stderr.await(t, "  "+shownBy(planned[0])+" mm\n"+prompt(1))
	for i := 1; i < 5; i++ {
		g.stderr.await(t, prompt(i))
		b.press(shownBy(planned[i]))
	}
	g.stderr.await(t, prompt(5))
	g.typed(t, "q")
	if code := g.wait(t); code != app.ExitFailure || !strings.Contains(g.stderr.String(), "gaugectl: the study was left after 5 of 12 readings: continue with the same command, or with gaugectl study record --sheet "+file+"\n") {
		t.Fatalf("exit %d, %s", code, g.stderr.String())
	}

	g = b.guide(args...)
	for i := 5; i < 12; i++ {
		g.stderr.await(t, prompt(i))
		b.press(shownBy(planned[i]))
	}
	if code := g.wait(t); code != app.ExitFine {
		t.Fatalf("exit %d, %s", code, g.stderr.String())
	}
	for _, want := range []string{"of gauge dial by J. Mercer, ", ": yearly; 2 readings discarded\n", "2 appraisers, 3 parts, 2 trials; 12 readings.", "Readings by part and person\nreading in mm\n", "Components of variation\n"} {
		if !strings.Contains(g.stdout.String(), want) {
			t.Errorf("%q is not in\n%s", want, g.stdout.String())
		}
	}
	all, err := b.Studies(t.Context(), "", gauge.Query{Gauge: "dial", Limit: 10})
	if err != nil || len(all) != 1 || len(all[0].Readings) != 12 || all[0].Readings[0].Typed == "" || all[0].Readings[1].Seq == 0 {
		t.Fatalf("%+v, %v", all, err)
	}
	for i, r := range all[0].Readings {
		if row := planned[i]; r.Part != row.Part || r.Person != row.Person || r.Value != strings.TrimRight(shownBy(row), "0") {
			t.Errorf("row %d is %+v", i, r)
		}
	}

	// The sheet is a file that a study can be made of, and it is not measured again.
	code, stdout, stderr := call(t, "", "", "study", "crossed", "--file", file, "--tolerance", "0.5")
	if code != app.ExitFine || !strings.Contains(g.stdout.String(), stdout) {
		t.Errorf("exit %d, %s\n%s", code, stderr, stdout)
	}
	if code, _, stderr := call(t, b.socket, "", append([]string{"study", "record"}, args...)...); code != app.ExitFailure || stderr != fmt.Sprintf("gaugectl: the sheet %s was recorded as study %d: name another with --sheet to measure again\n", file, all[0].Seq) {
		t.Errorf("exit %d, %s", code, stderr)
	}

	code, stdout, stderr = call(t, b.socket, "", "studies")
	if code != app.ExitFine || !strings.Contains(stdout, "crossed  12        Acceptable  ") || !strings.Contains(stdout, "J. Mercer") {
		t.Errorf("exit %d, %s\n%s", code, stderr, stdout)
	}
	if _, offered, _ := call(t, b.socket, "", "__complete", "study", "show", ""); offered != fmt.Sprintf("%d\tdial, crossed\n:4\n", all[0].Seq) {
		t.Errorf("offered: %q", offered)
	}
	dir := filepath.Join(t.TempDir(), "charts")
	code, stdout, stderr = call(t, b.socket, "", "study", "show", fmt.Sprint(all[0].Seq), "--svg", dir)
	if code != app.ExitFine || stdout != g.stdout.String() || !strings.Contains(stdout, fmt.Sprintf("Distinct categories: %d (", *all[0].Headline.Categories)) {
		t.Errorf("exit %d, %s\n%s", code, stderr, stdout)
	}
	for _, name := range []string{"by-part", "ranges", "components"} {
		if content, err := os.ReadFile(filepath.Join(dir, name+".svg")); err != nil || !strings.HasPrefix(string(content), "<svg") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if code, stdout, _ = call(t, b.socket, "", "study", "show", fmt.Sprint(all[0].Seq), "--output", "json"); code != app.ExitFine || !strings.Contains(stdout, fmt.Sprintf(`"distinct_categories": %d,`, *all[0].Headline.Categories)) {
		t.Errorf("exit %d, %s", code, stdout)
	}
}

// TestStudyAtMasters: linearity at three masters, whose values the sheet knows in the end.
func TestStudyAtMasters(t *testing.T) {
	b := newStudyBench(t)
	file := filepath.Join(t.TempDir(), "l.csv")
	g := b.guide(strings.Fields("dial --kind linearity --master block-1,block-5,block-9 --trials 2 --by q --sheet " + file)...)
	for i, shown := range []string{"1.001", "5.003", "9.004", "1.000", "5.002", "9.006"} {
		g.stderr.await(t, fmt.Sprintf("reading %d of 6\n", i+1))
		b.press(shown)
	}
	if code := g.wait(t); code != app.ExitFine || !strings.Contains(g.stdout.String(), "Linearity: 6 readings at 3 reference values.") {
		t.Fatalf("exit %d, %s\n%s", code, g.stderr.String(), g.stdout.String())
	}
	if code, stdout, stderr := call(t, "", "", "study", "linearity", "--file", file); code != app.ExitFine || !strings.Contains(g.stdout.String(), stdout) {
		t.Errorf("exit %d, %s\n%s", code, stderr, stdout)
	}
}

// TestStudyOfStoredChecks: from the master checks of the daemon, without a file.
func TestStudyOfStoredChecks(t *testing.T) {
	b := newStudyBench(t)
	for i := range 10 {
		request := station.CheckRequest{Gauge: "dial", By: "q"}
		if _, err := b.BeginCheck(t.Context(), "dial", "q", nil, health.BegunData{}); err != nil {
			t.Fatal(err)
		}
		for k, id := range []string{"block-1", "block-5", "block-9"} {
			shown := fmt.Sprintf("%.4f", float64(1+4*k)+0.001*float64(k)+[]float64{0.0002, -0.0001, 0.0003, 0, -0.0002}[(i+k)%5])
			request.Found = append(request.Found, station.CheckPoint{Master: id, Readings: []uint64{b.press(shown)}})
		}
		if _, err := b.RecordCheck(t.Context(), request); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct{ args, want, not string }{
		{"bias dial --master block-5", "Bias: 10 readings, mean 5.0", "Study "},
		{"linearity dial", "Linearity: 30 readings at 3 reference values.", "Study "},
		{"stability dial --master block-9", "Stability: 10 errors against the reference value in the order of the rows.", "Study "},
		{"capability dial --master block-1 --tolerance 50um", "Cgk", "Study "},
		{"bias dial --master block-9 --record --by me --remark r", " of gauge dial by me, ", "%!"},
	} {
		code, stdout, stderr := call(t, b.socket, "", append([]string{"study"}, strings.Fields(c.args)...)...)
		if code != app.ExitFine || !strings.Contains(stdout, c.want) || strings.Contains(stdout, c.not) {
			t.Errorf("%s: exit %d, %s\n%s", c.args, code, stderr, stdout)
		}
	}
	if all, err := b.Studies(t.Context(), "", gauge.Query{Gauge: "dial", Limit: 10}); err != nil || len(all) != 1 || all[0].Remark != "r" {
		t.Errorf("%v, %v", all, err)
	}
}

func TestStudyRecordProblems(t *testing.T) {
	b := newStudyBench(t)
	dir := t.TempDir()
	t.Chdir(dir)
	for name, content := range map[string]string{
		"other.csv": "# gauge: dial\n# kind: bias\nreference,trial,value,unit,reading\n5,1,,,\n",
		"no.csv":    "part,value\n1,2\n",
		"bad.csv":   "# gauge: dial\n# kind: bias\nreference,trial,value,unit,reading\n5,1,5,mm,x\n",
	} {
		if err := os.WriteFile(name, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	crossed := "dial --kind crossed "
	const help = " (see gaugectl study record --help)"
	for args, want := range map[string]string{
		"":                                                          "name a gauge, with the kind of study as --kind, or with --sheet a study that was begun" + help,
		"dial --kind one-way":                                       `--kind "one-way" is not known: use crossed, nested, bias, linearity, stability or capability` + help,
		crossed:                                                     "say who measures: one person at least" + help,
		crossed + "--persons A --trials 1":                          "10 parts and 1 trial: a crossed study needs 2 of each at least, better 10 parts and 3 trials" + help,
		crossed + "--persons A --trials 5000":                       "5000 trials: use 1 to 1000" + help,
		crossed + "--persons A --parts a,a":                         `parts "a,a": give each part a name of its own` + help,
		crossed + "--persons A --parts 0":                           "0 parts: use 1 to 1000" + help,
		crossed + "--persons A --master block-1":                    "a crossed study has parts and persons, and no masters" + help,
		"dial --kind bias":                                          "say what is measured: masters of the station, or a reference value" + help,
		"dial --kind bias --reference 1 --persons A":                "a study of bias knows no persons" + help,
		"dial --kind stability --reference 1 --trials 7":            "7 readings: a study of stability needs 8 at least" + help,
		"dial --kind linearity --master a,b":                        "a study of linearity needs 3 masters at least, better 5, over the range of the gauge" + help,
		"dial --kind bias --reference 1 --tolerance 1kg":            `--tolerance: unknown unit "kg": use mm, in or um` + help,
		"dial --kind capability --master block-1":                   "the indices compare the gauge with a tolerance: give its width" + help,
		"dial --kind bias --master block-2":                         `there is no master "block-2": gaugectl masters shows them`,
		"d --kind bias --master block-1":                            `there is no gauge "d": there are dial, micrometer`,
		"--sheet missing.csv":                                       "there is no sheet missing.csv: begin the study with a gauge and --kind",
		"--sheet no.csv":                                            "no.csv is not the sheet of a study: it does not begin with the remarks gauge and kind",
		"--sheet bad.csv":                                           `bad.csv:4:10: column reading: "x" is not the number of a reading`,
		"dial --kind bias --master block-1 --sheet other.csv":       "the sheet other.csv is of another study, begun with other parts, persons, trials or seed: continue with --sheet other.csv alone, or name another file",
		"dial --kind bias --reference 5 --sheet /nowhere/sheet.csv": "writing to the directory /nowhere: there is no directory /nowhere",
	} {
		_, stdout, stderr := call(t, b.socket, "", append([]string{"study", "record"}, strings.Fields(args)...)...)
		if !strings.HasPrefix(stderr, "gaugectl: "+want) || stdout != "" {
			t.Errorf("%s: %s\nwant %s", args, stderr, want)
		}
	}
	for args, want := range map[string]string{
		"study bias dial --since March":         `gaugectl: --since "March" is not a day such as 2026-03-01 or a time in RFC 3339 (see gaugectl study bias --help)` + "\n",
		"study bias dial":                       "gaugectl: there are no checks of gauge dial that the study could take: check it, or ask for an earlier time\n",
		"study bias":                            "gaugectl: name a gauge of the daemon, or with --file a file of readings (see gaugectl study bias --help)\n",
		"study bias r.csv":                      "gaugectl: r.csv is not a gauge: write --file r.csv for a file of readings (see gaugectl study bias --help)\n",
		"study bias dial --value x":             "gaugectl: --value is of a study of a file: leave it out, or give --file instead of a gauge (see gaugectl study bias --help)\n",
		"study bias --file r.csv --record":      "gaugectl: --record is of a study of the daemon's checks: leave it out, or name a gauge instead of --file (see gaugectl study bias --help)\n",
		"study crossed":                         "gaugectl: name the readings: --file FILE.csv (see gaugectl study crossed --help)\n",
		"study capability dial --tolerance 1kg": "gaugectl: --tolerance: unknown unit \"kg\": use mm, in or um (see gaugectl study capability --help)\n",
		"study show x":                          `gaugectl: "x" is not the number of a study: gaugectl studies lists them (see gaugectl study show --help)` + "\n",
		"study show 77":                         "gaugectl: there is no study 77\n",
	} {
		if _, _, stderr := call(t, b.socket, "", strings.Fields(args)...); stderr != want {
			t.Errorf("%s: %s\nwant %s", args, stderr, want)
		}
	}
}
