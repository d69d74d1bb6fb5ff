package evaluate

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The seeds are the files of the published examples and of the demo.

// FuzzDrawing: what is accepted is well-formed, plain SVG that names nothing
// outside itself, by a second look that shares no code with the first.
func FuzzDrawing(f *testing.F) {
	for _, c := range drawings {
		f.Add(c.svg)
	}
	unread := regexp.MustCompile(`(?s)<!--.*?-->|<!\[CDATA\[.*?\]\]>`)
	outside := regexp.MustCompile(`(?i)<script|<foreignObject|<!doctype|@import|\sxlink:href\s*=\s*["'][^#"']|\shref\s*=\s*["'][^#"'\s]`)
	f.Fuzz(func(t *testing.T, svg string) {
		defer finishes(t)()
		p, err := readProcedure("f.yaml", []byte(withDrawing(svg)))
		checkPlaces(t, err)
		if err != nil || p.Drawing == nil {
			return
		}
		content := unread.ReplaceAllString(string(p.Drawing.Content), "")
		if found := outside.FindString(content); found != "" {
			t.Errorf("%q was accepted in a drawing", found)
		}
	})
}

func FuzzReadFamily(f *testing.F) {
	f.Add(rings)
	f.Add(tableFamily)
	for _, content := range files(f, tradeDir+"/*/parts.yaml", "../../deploy/demo/parts/*.yaml") {
		f.Add(content)
	}
	f.Fuzz(func(t *testing.T, content string) {
		defer finishes(t)()
		family, err := procedure.ReadFamily("f.yaml", []byte(content))
		checkPlaces(t, err)
		if err == nil && len(family.Grades) == 0 {
			t.Error("an empty family was accepted")
		}
	})
}

func FuzzReadReadings(f *testing.F) {
	f.Add(ring, "# remark\nmeasurement,value,unit,gauge,discarded\ndepth,25.4,mm,d1,\nheight,\"20.1\",mm,d2,slipped\n")
	f.Add(strings.Replace(ring, "unit: mm", "unit: mm\nother_units: convert", 1), "measurement,value,unit\ndepth,0.071,in\n")
	for _, dir := range glob(f, tradeDir+"/*/readings.csv") {
		f.Add(files(f, filepath.Join(filepath.Dir(dir), "procedure.yaml"))[0], files(f, dir)[0])
	}
	f.Fuzz(func(t *testing.T, written, content string) {
		defer finishes(t)()
		p, err := readProcedure("p.yaml", []byte(written))
		if err != nil {
			return
		}
		readings, err := procedure.ReadReadings("f.csv", []byte(content), p)
		checkPlaces(t, err)
		if err != nil {
			return
		}
		for _, r := range readings {
			s, _, ok := p.Step(r.Measurement)
			if !ok {
				t.Errorf("a reading of %q was accepted, which the procedure does not have", r.Measurement)
			}
			if len(s.Codes) > 0 || r.Shown == procedure.Unreadable {
				continue
			}
			if r.Upper != nil {
				if low, high, ok := strings.Cut(r.Shown, formula.IntervalSign); !ok || low == "" || high == "" || *r.Upper <= r.Value {
					t.Errorf("%q was read as %d to %d pm", r.Shown, r.Value, *r.Upper)
				}
				continue
			}
			if l, err := gauge.ParseLength(r.Shown, r.Unit); err != nil || l != r.Value {
				t.Errorf("%q %s was read as %d pm: %v", r.Shown, r.Unit, r.Value, err)
			}
		}
		if len(p.FamilyIDs()) == 0 {
			_, _ = Evaluate(p, nil, compute.Input{Readings: readings}) // must not panic
		}
	})
}

// slowest is far beyond what any file may take: it finds work without bound,
// not slowness.
const slowest = 10 * time.Second

// finishes checks that what is deferred ends in bounded time.
func finishes(t *testing.T) func() {
	began := time.Now()
	return func() {
		if took := time.Since(began); took > slowest {
			t.Errorf("reading took %v", took)
		}
	}
}

var place = regexp.MustCompile(`^f\.(yaml|csv):[1-9]\d*:[1-9]\d*: .`)

// checkPlaces holds that every line of an error is one problem with its place.
func checkPlaces(t *testing.T, err error) {
	if err == nil {
		return
	}
	for line := range strings.SplitSeq(err.Error(), "\n") {
		if !place.MatchString(line) {
			t.Errorf("a problem without file:line:column: %q", line)
		}
	}
}

func glob(f testing.TB, pattern string) []string {
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		f.Fatalf("no files %s: %v", pattern, err)
	}
	return paths
}

func files(f testing.TB, patterns ...string) []string {
	var contents []string
	for _, pattern := range patterns {
		for _, path := range glob(f, pattern) {
			content, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			contents = append(contents, string(content))
		}
	}
	return contents
}
