package config

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/words"
)

func noEnv(string) string { return "" }

// write makes files in a directory of the test, by name.
func write(t *testing.T, files map[string]string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for name, content := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

const (
	procedureText = "procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: 0.1, max: 0.2}}\nparts: f\nchoose: {method: middle}\n"
	family        = "family: f\ntitle: t\nunit: mm\ngrades: [{part: a, thickness: 1}]\n"
)

func TestLoad(t *testing.T) {
	dir := write(t, map[string]string{
		"station.yaml": "station: s\nlisten: {grpc: [unix://run/s, 127.0.0.1:7411], metrics: 127.0.0.1:9412}\nhistory: h.db\n" +
			"procedures: procedures\nparts: parts/f.yaml\ngauges:\n  a: {layout: signed-line, unit: in, port: lines/a}\n  b: {outside: yes}\n  c: {outside: yes, mode: button}\n",
		"procedures/p.yaml": procedureText,
		"parts/f.yaml":      family,
	})
	c, err := Load(t.Context(), filepath.Join(dir, "station.yaml"), noEnv)
	if err != nil {
		t.Fatal(err)
	}
	if c.GRPC[0] != "unix://"+dir+"/run/s" || c.GRPC[1] != "127.0.0.1:7411" || c.History != dir+"/h.db" {
		t.Errorf("listeners %v, history %s", c.GRPC, c.History)
	}
	if a := c.Gauges[0]; a.Port != dir+"/lines/a" || a.Unit != gauge.Inch || a.Mode != "button" {
		t.Errorf("gauge %+v", a)
	}
	if c.Gauges[1].Mode != "stream" || c.Gauges[2].Mode != "button" {
		t.Errorf("gauges from outside: %+v", c.Gauges[1:])
	}
	if p, f, err := c.Library.Procedure("p"); err != nil || p.Title != "t" || f["f"] == nil {
		t.Errorf("procedure %+v with family %+v, %v", p, f, err)
	}
}

// TestLoadProblems: every problem of every file in one pass.
func TestLoadProblems(t *testing.T) {
	dir := write(t, map[string]string{
		"station.yaml": "station: s\nevaluator: 127.0.0.1:7411\nprocedures: procedures\nparts: empty\nlayouts: missing.yaml\n" +
			"gauges:\n  a: {layout: none, port: x}\n  b: {outside: yes, port: y}\n  c: {outside: yes, mode: poll}\n",
		"procedures/p.yaml": strings.Replace(procedureText, "unit: mm", "unit: inch", 1),
		"empty/readme":      "",
	})
	_, err := Load(t.Context(), filepath.Join(dir, "station.yaml"), noEnv)
	if err == nil {
		t.Fatal("no problem found")
	}
	got := strings.ReplaceAll(err.Error(), dir+"/", "")
	want := `station.yaml:3:13: the jobs run on the evaluator 127.0.0.1:7411, and so do the procedures and parts: keep them there
station.yaml:4:8: the jobs run on the evaluator 127.0.0.1:7411, and so do the procedures and parts: keep them there
station.yaml:4:8: the directory empty has no *.yaml files
station.yaml:5:10: stat missing.yaml: no such file or directory
station.yaml:7:15: there is no layout "none": there are bcd-digits, channel-and-value, clocked-bits, request-channel, request-reply, signed-line, value-with-unit
station.yaml:8:27: a gauge that is fed from outside has no "port" here
station.yaml:9:27: "poll" is not known here: use button, stream
procedures/p.yaml:3:7: unknown unit "inch": use mm, in or um`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

const typedGauge = "station: s\nlisten: {grpc: [127.0.0.1:7411]}\ngauges: {m: {typed: yes, unit: mm}}\nchecks:\n  m: "

// TestChecksWithJobs: before and after a job, and what is a zero return.
func TestChecksWithJobs(t *testing.T) {
	plan := func(text string) (*check.Plan, error) {
		dir := write(t, map[string]string{"s.yaml": typedGauge + text})
		c, err := Load(t.Context(), filepath.Join(dir, "s.yaml"), noEnv)
		if err != nil {
			return nil, errors.New(strings.ReplaceAll(err.Error(), dir+"/", ""))
		}
		return c.Plans["m"], nil
	}
	p, err := plan("{before_job: each, after_job: yes, zero_return: {within: 0.02 mm}, when_due: block}")
	if err != nil || !p.BeforeEach || p.BeforeWithin != 0 || !p.AfterEach || !p.Blocks || *p.ZeroWithin != 20_000_000 {
		t.Errorf("%+v, %v", p, err)
	}
	if p, err = plan("{before_job: 8h, when_due: warn}"); err != nil || p.BeforeEach || p.BeforeWithin != 8*time.Hour || p.AfterEach || p.ZeroWithin != nil {
		t.Errorf("%+v, %v", p, err)
	}
	for text, want := range map[string]string{
		"{when_due: block}":                 `s.yaml:5:17: a check without "every_days" or "before_job" is never due`,
		"{before_job: often}":               `s.yaml:5:19: "often" is not known here: write "each" for a check since the last job that used the gauge, or how old a check may be, such as 8h`,
		"{before_job: 0s}":                  `s.yaml:5:19: "0s" is not known here: write "each" for a check since the last job that used the gauge, or how old a check may be, such as 8h`,
		"{after_job: perhaps}":              `s.yaml:5:18: "perhaps" is not known here: use yes, no, true, false`,
		"{zero_return: {}}":                 `s.yaml:5:20: "within" is missing`,
		"{zero_return: {within: 0.02}}":     `s.yaml:5:29: "0.02" has no unit: write a number, a space and the unit, such as 0.35 N m; the unit of a plain number is 1`,
		"{zero_return: {within: -0.02 mm}}": `s.yaml:5:29: "-0.02 mm" is no length above zero: write a number and mm, in or um, such as 0.02 mm`,
		"{zero_return: {within: 2 N}}":      `s.yaml:5:29: "2 N" is no length above zero: write a number and mm, in or um, such as 0.02 mm`,
	} {
		if _, err := plan(text); err == nil || err.Error() != want {
			t.Errorf("%s\n got %v\nwant %s", text, err, want)
		}
	}
}

func TestDefaults(t *testing.T) {
	env := func(pairs ...string) func(string) string {
		return func(name string) string {
			for i := 0; i+1 < len(pairs); i += 2 {
				if pairs[i] == name {
					return pairs[i+1]
				}
			}
			return ""
		}
	}
	cases := []struct {
		env              func(string) string
		address, history string
	}{
		{env(), "unix:///run/gauged/gauged.sock", "/var/lib/gauged/history.db"},
		{env("XDG_RUNTIME_DIR", "/run/user/7", "HOME", "/home/b"), "unix:///run/user/7/gauged/gauged.sock", "/home/b/.local/state/gauged/history.db"},
		{env("RUNTIME_DIRECTORY", "/run/gauged", "STATE_DIRECTORY", "/var/lib/private/gauged"), "unix:///run/gauged/gauged.sock", "/var/lib/private/gauged/history.db"},
		{env("RUNTIME_DIRECTORY", "/run/gauged", "STATE_DIRECTORY", "/var/lib/private/gauged:/var/lib/private/gauged/backup"), "unix:///run/gauged/gauged.sock", "/var/lib/private/gauged/history.db"},
	}
	for _, c := range cases {
		l := loader{getenv: c.env}
		if address, history := DefaultAddress(c.env), l.defaultHistory(); address != c.address || history != c.history {
			t.Errorf("got %s and %s, want %s and %s", address, history, c.address, c.history)
		}
	}
}

func TestCheckTellsKinds(t *testing.T) {
	dir := write(t, map[string]string{
		"p.yaml": procedureText, "f.yaml": family, "x.yaml": "name: x\n", "s.yaml": "gauges: {a: {layout: signed-line, unit: mm, value: 1.000}}\n",
	})
	checked, err := Check(t.Context(), []string{dir}, noEnv)
	var kinds []string
	for _, c := range checked {
		kinds = append(kinds, c.Kind+" "+c.ID)
	}
	if got := strings.Join(kinds, ", "); got != "parts f, procedure p, scenario " {
		t.Errorf("kinds %q", got)
	}
	if err == nil || strings.ReplaceAll(err.Error(), dir+"/", "") != "x.yaml:1:1: what the file describes is not said: it needs one of the keys station, layout, procedure or family, or the gauges of a scenario" {
		t.Errorf("got %v", err)
	}
}

// TestCheckSetsProceduresAgainstFamilies: a choice by table needs rows that
// say what they serve.
func TestCheckSetsProceduresAgainstFamilies(t *testing.T) {
	dir := write(t, map[string]string{"p.yaml": strings.Replace(procedureText, "method: middle", "method: table", 1), "f.yaml": family})
	_, err := Check(t.Context(), []string{dir}, noEnv)
	if err == nil || strings.ReplaceAll(err.Error(), dir+"/", "") != "p.yaml:1:1: procedure p chooses by table, but a of family f does not say which gaps it serves" {
		t.Errorf("got %v", err)
	}
}

// TestCheckRunsExamples: a printed answer that does not come out is told with its
// place, and the file is not called fine.
func TestCheckRunsExamples(t *testing.T) {
	const right = "examples: [{readings: {g: 1.15}, wants: {part: a, play: 0.15}}]\n"
	wrong := strings.Replace(right, "0.15}}", "0.16}}", 1)
	cases := []struct {
		files      map[string]string
		note, want string
	}{
		{map[string]string{"p.yaml": procedureText + right, "f.yaml": family}, "its example comes out", ""},
		{map[string]string{"p.yaml": procedureText + right}, "its examples and its part family f were not tried: name the family's file, too", ""},
		{map[string]string{"p.yaml": procedureText + wrong, "f.yaml": family}, "", "p.yaml:9:57: the example: play: got 0.150 mm, wanted 0.16 mm, difference -0.010 mm: find out whether the print or the file has the slip"},
	}
	for _, c := range cases {
		dir := write(t, c.files)
		checked, err := Check(t.Context(), []string{dir}, noEnv)
		got, note := "", ""
		if err != nil {
			got = strings.ReplaceAll(err.Error(), dir+"/", "")
		}
		for _, file := range checked {
			if file.Kind == "procedure" {
				note = words.In(words.English).Tell(file.Note)
			}
		}
		if got != c.want || note != c.note || c.want != "" && len(checked) != 1 {
			t.Errorf("%q, %q, %+v", got, note, checked)
		}
	}
}

// TestCheckEndsWithItsCaller: an interrupt ends a check.
func TestCheckEndsWithItsCaller(t *testing.T) {
	ctx, leave := context.WithCancel(t.Context())
	leave()
	if _, err := Check(ctx, []string{"../../testdata/uncertainty/h1"}, func(string) string { return "" }); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
