package study

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// twoMasters are readings in turn at a master of 0, whose error moves, and at one of
// 25 with an error of 0.1 (invented; PCG seeds 51, 52).
func twoMasters(column string, drift float64) string {
	random := rand.New(rand.NewPCG(51, 52))
	text := "value,reference" + column + "\n"
	for i := range 24 {
		for k, master := range []float64{0, 25} {
			cell := ""
			if column != "" {
				cell = fmt.Sprintf(",master-%g", master)
			}
			moved := []float64{drift * float64(i), 0.1}[k]
			text += fmt.Sprintf("%.4f,%g%s\n", master+moved+0.001*random.NormFloat64(), master, cell)
		}
	}
	return text
}

// TestStabilityKeepsMastersApart: the errors of two masters make no moving range of
// each other, and the one that drifts decides.
func TestStabilityKeepsMastersApart(t *testing.T) {
	for column, names := range map[string][]string{"": {"0", "25"}, ",part": {"master-0", "master-25"}} {
		for _, drift := range []float64{0, 0.0008} {
			table, err := ReadTable("made.csv", []byte(twoMasters(column, drift)))
			if err != nil {
				t.Fatal(err)
			}
			plan := Plan{Kind: StabilityKind}
			d, err := plan.Read(table, nil)
			if err != nil {
				t.Fatal(err)
			}
			s, err := plan.Evaluate(d)
			if err != nil {
				t.Fatal(err)
			}
			r := s.Stability
			if len(r.Series) != 2 || r.Series[0].Part != names[0] || r.Series[1].Part != names[1] || r.Series[0].Readings != 24 {
				t.Fatalf("%q: %+v", column, r.Series)
			}
			if sd := r.Series[1].Deviation; sd > 0.002 || r.Series[1].Mean < 0.099 {
				t.Errorf("at 25 the standard deviation is %g about %g", sd, r.Series[1].Mean)
			}
			word := Stable
			if drift > 0 {
				word = NotStable
			}
			if got := s.Headline().Word; got != word || drift > 0 && (r.Part != names[0] || !strings.Contains(told(r.Verdict.Text), names[0]+": Not stable")) {
				t.Errorf("%q, drift %g: %s at %s: %s", column, drift, got, r.Part, r.Verdict.Text)
			}
			figures, err := json.Marshal(s.Figures())
			if err != nil {
				t.Fatal(err)
			}
			if back, err := ReadResult(StabilityKind, figures); err != nil || back.Headline().Word != word || len(back.Stability.Series) != 2 {
				t.Errorf("read back: %+v, %v", back, err)
			}
		}
	}
	mixed, err := Stability(made(t, "value,reference\n1,0\n2,1\n3.1,2\n4,3\n5,4\n6,5\n7.2,6\n8,7\n", Value, Reference), Options{})
	if err != nil || len(mixed.Series) != 0 || !strings.Contains(told(mixed.Notes...), "name the master of each reading") {
		t.Errorf("%+v, %v", mixed, err)
	}
}

// TestBelowZeroInEveryStudy: a variance that comes out below 0 is shown as it came out,
// in the same words in every study, and its budget has it as 0.
func TestBelowZeroInEveryStudy(t *testing.T) {
	o, err := OneWay(made(t, rows("group,value", "A,1", "A,2", "A,3", "B,1", "B,2", "B,3.1", "C,1.1", "C,2", "C,2.9"), Group), 0, Options{})
	if err != nil || o.BetweenEstimate >= 0 || o.Between != 0 {
		t.Fatalf("%+v, %v", o, err)
	}
	l, err := NestedLevels(made(t, rows("part,run,day,value",
		"1,1,1,1", "1,1,1,2", "1,1,2,1.1", "1,1,2,1.9", "1,1,3,1.05", "1,1,3,1.95", "1,2,1,1", "1,2,1,2", "1,2,2,1.1", "1,2,2,1.9"), Part, Run, Day), Use{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	g := l.Gauges[0]
	if !g.ByDay.Negative || g.ByDay.Estimate >= 0 || g.ByDay.Deviation != 0 || g.Budget.Terms[1].Squared > 0 {
		t.Errorf("%+v", g)
	}
	for _, notes := range [][]gauge.Message{o.Notes, l.Notes} {
		if !strings.Contains(told(notes...), "below 0. It counts as 0 in the sums and the budget") {
			t.Errorf("%q", notes)
		}
	}
}

// TestLinearityKeepsAllDigits: reference values a million away give the slope and the
// band of the same ones near zero.
func TestLinearityKeepsAllDigits(t *testing.T) {
	at := func(offset string) *LinearityResult {
		text := "value,reference\n"
		for i, last := range []string{"3", "1", "4", "2", "5", "4", "6", "8"} {
			text += fmt.Sprintf("%s.%04d%s,%s.%04d\n", offset, i/2, last, offset, i/2)
		}
		r, err := Linearity(made(t, text, Value, Reference), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	near0, far := at("0"), at("1000000")
	if near0.Line.Slope != far.Line.Slope || near0.Line.SlopeErr != far.Line.SlopeErr || near0.Change != far.Change {
		t.Errorf("slope %v and %v", near0.Line.Slope, far.Line.Slope)
	}
	for i := range near0.Points {
		if near0.Points[i].Band != far.Points[i].Band || near0.Points[i].Error != far.Points[i].Error {
			t.Errorf("%+v and %+v", near0.Points[i], far.Points[i])
		}
	}
}

// TestStabilityRefusesAnotherOrder: limits and trend go by the order of the rows, so that
// times at one master that are not in order are refused; of several masters each has its own.
func TestStabilityRefusesAnotherOrder(t *testing.T) {
	text := func(times ...string) string {
		rows := "value,time\n"
		for i, at := range times {
			rows += fmt.Sprintf("%d.%d,%s\n", i%2, i, at)
		}
		return rows
	}
	good := []string{"2024-01-10", "2024-02-10", "2024-03-10", "2024-04-10", "2024-05-10", "2024-06-10", "2024-07-10", "2024-08-10"}
	wrong := slices.Clone(good)
	wrong[3], wrong[4] = wrong[4], wrong[3]
	for want, times := range map[string][]string{
		"": good,
		"made.csv:6: the time 2024-04-10 is earlier than that of the row before it, 2024-05-10: put the readings in the order of time": wrong,
		"made.csv:4: the time 10 is earlier than that of the row before it, 20: put the readings in the order of time":                 {"9", "20", "10", "21", "22", "23", "24", "25"},
	} {
		_, err := Stability(made(t, text(times...), Value, Time), Options{})
		if got := toldOf(err); want != "" && got != want || want == "" && err != nil {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
