package studychart

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"strings"
	"testing"

	"gauged/internal/health/study"
	"gauged/internal/words"
)

func studied(t *testing.T, file string, plan study.Plan, columns study.Columns) *study.Study {
	t.Helper()
	content, err := os.ReadFile("../../../testdata/statistics/" + file)
	if err != nil {
		t.Fatal(err)
	}
	table, err := study.ReadTable(file, content)
	if err != nil {
		t.Fatal(err)
	}
	d, err := plan.Read(table, columns)
	if err != nil {
		t.Fatal(err)
	}
	s, err := plan.Evaluate(d)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func english(t *testing.T) words.Words {
	t.Helper()
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	return catalogue.In(words.English)
}

// drawings are a study of each kind, with the names of its drawings and what must be
// read in them.
var drawings = []struct {
	file    string
	plan    study.Plan
	columns study.Columns
	names   string
	read    []string
}{
	{
		"grr_10x3x3.csv",
		study.Plan{Kind: study.CrossedKind, Options: study.Options{Tolerance: 8}},
		nil, "by-part ranges components",
		[]string{"Readings by part and person", "reading in mm", "mean of A", "10", "upper limit 0.88 mm", "mean range 0.342 mm", "Repeatability and reproducibility", "27.9 %", "22.7 %", "share of the tolerance", "percent; of the tolerance: 6 standard deviations"},
	},
	{"grr_10x3x3.csv", study.Plan{Kind: study.NestedKind}, nil, "by-person components", []string{"mean of C", "person"}},
	{
		"gauge_study_mpc61.csv",
		study.Plan{Kind: study.NestedKind},
		study.Columns{study.Part: "wafer", study.Gauge: "probe", study.Value: "mean", study.Deviation: "sd_6", study.Repeats: "6"},
		"levels",
		[]string{"2362: repeats", "0.0729 mm", "standard deviation in mm"},
	},
	{"gear_diameter.csv", study.Plan{Kind: study.OneWayKind}, study.Columns{study.Group: "batch", study.Value: "diameter"}, "groups", []string{"mean of all readings 0.99764 mm"}},
	{"bias_15.csv", study.Plan{Kind: study.BiasKind}, study.Columns{study.Reference: "6.0"}, "bias", []string{"no error", "bias 0.007 mm", "upper end 0.124 mm"}},
	{
		"linewidth_calibration.csv",
		study.Plan{Kind: study.LinearityKind},
		study.Columns{study.Value: "y_reading", study.Reference: "x_reference"},
		"linearity",
		[]string{"reference value in mm", "95 % band of the line, upper end", "mean error"},
	},
	{"individuals_flowrate.csv", study.Plan{Kind: study.StabilityKind}, study.Columns{study.Value: "x", study.Reference: "50"}, "run-chart", []string{"upper limit 5.80 mm", "lower limit -4.18 mm"}},
	{"bias_15.csv", study.Plan{Kind: study.CapabilityKind, Options: study.Options{Tolerance: 3}}, study.Columns{study.Reference: "6.0"}, "readings", []string{"20 % of the tolerance, lower end 5.7 mm", "reference value 6 mm"}},
}

// TestEveryStudyIsDrawn: in both forms, whole, and with the texts that a reader needs.
func TestEveryStudyIsDrawn(t *testing.T) {
	for _, c := range drawings {
		var names []string
		var seen strings.Builder
		all, err := Of(studied(t, c.file, c.plan, c.columns), "mm", english(t), nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range all {
			names = append(names, d.Name)
			svg, text := d.SVG(), d.Text(72, 14)
			for _, form := range []string{svg, text} {
				if strings.Contains(form, "NaN") || strings.Contains(form, "Inf") || strings.Contains(form, "%!") {
					t.Errorf("%s %s:\n%s", c.plan.Kind, d.Name, form)
				}
			}
			if strings.ContainsFunc(text, func(r rune) bool { return r > 126 }) {
				t.Errorf("%s is not ASCII:\n%s", d.Name, text)
			}
			seen.WriteString(textOf(t, svg))
		}
		if got := strings.Join(names, " "); got != c.names {
			t.Errorf("%s of %s: %s, want %s", c.plan.Kind, c.file, got, c.names)
		}
		for _, want := range c.read {
			if !strings.Contains(strings.ReplaceAll(seen.String(), "\n", " "), want+" ") { // names go on in the next line
				t.Errorf("%s: %q is not in\n%s", c.names, want, seen.String())
			}
		}
	}
}

// textOf is what is read in an SVG; it must be well formed.
func textOf(t *testing.T, svg string) string {
	t.Helper()
	var all strings.Builder
	decoder := xml.NewDecoder(strings.NewReader(svg))
	for in := ""; ; {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return all.String()
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, svg)
		}
		switch token := token.(type) {
		case xml.StartElement:
			in = token.Name.Local
		case xml.EndElement:
			in = ""
		case xml.CharData:
			if in == "text" {
				all.Write(token)
				all.WriteString("\n")
			}
		}
	}
}

// TestWithoutReadings: of a study that was read back without its data, what can be
// drawn is drawn.
func TestWithoutReadings(t *testing.T) {
	s := studied(t, "grr_10x3x3.csv", study.Plan{Kind: study.CrossedKind}, nil)
	s.Data = nil
	if all, err := Of(s, "", english(t), nil); err != nil || len(all) != 1 || all[0].Name != "components" {
		t.Errorf("%v, %v", all, err)
	}
}
