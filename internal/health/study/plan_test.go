package study

import (
	"encoding/json"
	"os"
	"reflect"
	"testing"
)

// TestPlanComesBack: every kind of study, from a published file, can be written and
// read back whole, and its headline says what its figures say.
func TestPlanComesBack(t *testing.T) {
	for _, c := range []struct {
		file    string
		plan    Plan
		columns Columns
		word    Word
	}{
		{"grr_10x3x3.csv", Plan{Kind: CrossedKind, Options: Options{Tolerance: 8}}, nil, Conditional},
		{"grr_10x3x3.csv", Plan{Kind: CrossedKind, Options: Options{Tolerance: 2}}, nil, NotAcceptable},
		{"grr_10x3x3.csv", Plan{Kind: CrossedKind, Options: Options{Tolerance: 80}}, nil, Acceptable},
		{"grr_10x3x3.csv", Plan{Kind: NestedKind}, nil, Conditional},
		{"gauge_study_mpc61.csv", Plan{Kind: NestedKind}, Columns{Part: "wafer", Gauge: "probe", Value: "mean", Deviation: "sd_6", Repeats: "6"}, NoWord},
		{"gear_diameter.csv", Plan{Kind: OneWayKind}, Columns{Group: "batch", Value: "diameter"}, Different},
		{"bias_15.csv", Plan{Kind: BiasKind}, Columns{Reference: "6.0"}, NoBias},
		{"bias_15.csv", Plan{Kind: BiasKind}, Columns{Reference: "5.0"}, Biased},
		{"linewidth_calibration.csv", Plan{Kind: LinearityKind}, Columns{Value: "y_reading", Reference: "x_reference"}, Sloped},
		{"individuals_flowrate.csv", Plan{Kind: StabilityKind}, Columns{Value: "x", Reference: "50"}, NotStable},
		{"bias_15.csv", Plan{Kind: CapabilityKind, Options: Options{Tolerance: 30}}, Columns{Reference: "6.0"}, Capable},
		{"bias_15.csv", Plan{Kind: CapabilityKind, Options: Options{Tolerance: 3}}, Columns{Reference: "6.0"}, NotCapable},
	} {
		content, err := os.ReadFile("../../../testdata/statistics/" + c.file)
		if err != nil {
			t.Fatal(err)
		}
		table, err := ReadTable(c.file, content)
		if err != nil {
			t.Fatal(err)
		}
		d, err := c.plan.Read(table, c.columns)
		if err != nil {
			t.Fatalf("%s of %s: %v", c.plan.Kind, c.file, err)
		}
		s, err := c.plan.Evaluate(d)
		if err != nil {
			t.Fatalf("%s of %s: %v", c.plan.Kind, c.file, err)
		}
		if h := s.Headline(); h.Word != c.word {
			t.Errorf("%s of %s: %q, want %q", c.plan.Kind, c.file, h.Word, c.word)
		}
		figures, err := json.Marshal(s.Figures())
		if err != nil {
			t.Fatal(err)
		}
		back, err := ReadResult(c.plan.Kind, figures)
		if err != nil {
			t.Fatal(err)
		}
		again, err := json.Marshal(back.Figures())
		if err != nil || string(again) != string(figures) {
			t.Errorf("%s of %s comes back as %s, %v", c.plan.Kind, c.file, again, err)
		}
		if !reflect.DeepEqual(back.Headline(), s.Headline()) {
			t.Errorf("%s of %s: the headline comes back as %+v", c.plan.Kind, c.file, back.Headline())
		}
	}
}

func TestPlanRefusals(t *testing.T) {
	table, err := NewTable("rows", []string{"value", "part", "appraiser"}, [][]string{{"1", "a", ""}})
	if err != nil {
		t.Fatal(err)
	}
	for want, f := range map[string]func() error{
		`"x" is no kind of study: it is one of crossed, nested, one-way, bias, linearity, stability, capability`: func() error {
			_, err := Plan{Kind: "x"}.Read(table, nil)
			return err
		},
		`rows:1:1: column appraiser: the appraiser of this reading is empty: say which it is`: func() error {
			_, err := Plan{Kind: CrossedKind}.Read(table, nil)
			return err
		},
		`rows: there are no readings: give one row for each`: func() error {
			_, err := NewTable("rows", []string{"value"}, nil)
			return err
		},
		`"y" is no kind of study: it is one of crossed, nested, one-way, bias, linearity, stability, capability`: func() error {
			_, err := ReadResult("y", nil)
			return err
		},
		`rows:2:1: there are 1 cells, and 2 column names`: func() error {
			_, err := NewTable("rows", []string{"value", "part"}, [][]string{{"1", "a"}, {"2"}})
			return err
		},
	} {
		if err := f(); toldOf(err) != want {
			t.Errorf("got %v, want %s", toldOf(err), want)
		}
	}
}
