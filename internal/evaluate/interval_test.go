package evaluate

import (
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
)

// TestStatisticsOfIntervals: a statistic of feeler readings stays an interval,
// in whatever formula it stands. Blades go at 0.15, 0.15 and 0.20 mm and do not
// at 0.20, 0.20 and 0.25 mm; the ends were computed by hand.
func TestStatisticsOfIntervals(t *testing.T) {
	cases := []struct {
		formula   string
		low, high string
	}{
		{"smallest(g)", "0.15", "0.20"},
		{"largest(g)", "0.20", "0.25"},
		{"range(g)", "0", "0.10"},
		{"median(g)", "0.15", "0.20"},
		{"mean(g) * 3", "0.50", "0.65"},
		{"1 - largest(g)", "0.75", "0.80"},
		{"largest(g) - smallest(g)", "0", "0.10"},
		{"g + range(g)", "0.15", "0.30"}, // counted as independent
	}
	for _, c := range cases {
		t.Run(c.formula, func(t *testing.T) {
			p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g, repeats: 3, take: smallest}}\njudge: {result: {value: "+c.formula+", max: 5}}\n"))
			if err != nil {
				t.Fatal(err)
			}
			readings, err := procedure.ReadReadings("r.csv", []byte("measurement,value,unit\ng,0.15..0.20,mm\ng,0.15..0.20,mm\ng,0.20..0.25,mm\n"), p)
			if err != nil {
				t.Fatal(err)
			}
			e, err := Evaluate(p, nil, compute.Input{Readings: readings})
			if err != nil {
				t.Fatal(err)
			}
			between := e.Judgements[0].Between
			if between == nil || *between.Min != mm(c.low) || *between.Max != mm(c.high) {
				t.Errorf("between %v", between)
			}
			if m := e.Measurements[0].Between; *m.Min != mm("0.15") || *m.Max != mm("0.20") {
				t.Errorf("the measurement is between %v", m)
			}
		})
	}
}

// TestSpreadOfFeelersIsUndecided: the middles would conform, the ends may not.
func TestSpreadOfFeelersIsUndecided(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure: {g: {title: g, repeats: 2}}\njudge: {spread: {value: range(g), max: 0.05}}\n"))
	if err != nil {
		t.Fatal(err)
	}
	readings, err := procedure.ReadReadings("r.csv", []byte("measurement,value,unit\ng,0.15..0.20,mm\ng,0.20..0.25,mm\n"), p)
	if err != nil {
		t.Fatal(err)
	}
	e, err := Evaluate(p, nil, compute.Input{Readings: readings})
	if err != nil || e.Outcome != Undecided {
		t.Fatalf("outcome %s, %v", e.Outcome, err)
	}
	checkFinding(t, e, "spread is between 0.000 and 0.100 mm, too near to a limit to decide; allowed is at most 0.050 mm.")
}
