package evaluate

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// briefly is an evaluation without what a brief one does not write down.
func briefly(t *testing.T, e Evaluation, err error) string {
	t.Helper()
	if err != nil {
		return err.Error()
	}
	e.Budgets, e.Findings = nil, nil
	e.Sums = append([]Sum(nil), e.Sums...)
	for i := range e.Sums {
		e.Sums[i].Expression, e.Sums[i].Worked = "", ""
	}
	for _, f := range e.EachFit() {
		f.Why = gauge.Message{}
	}
	text, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestBriefAgrees: every published example and rule of the trade, with readings
// moved about, comes to the same briefly, on the same Brief.
func TestBriefAgrees(t *testing.T) {
	b := NewBrief()
	random := rand.New(rand.NewPCG(3, 3))
	outcomes := map[Outcome]int{}
	dirs, err := filepath.Glob("../../testdata/trade/*/procedure.yaml")
	if err != nil || len(dirs) < 40 {
		t.Fatal(len(dirs), err)
	}
	for _, path := range dirs {
		p, family, in := readDir(t, filepath.Dir(path))
		for n := range 20 {
			moved := in
			moved.Readings = append([]procedure.Reading(nil), in.Readings...)
			for i := range moved.Readings {
				if n > 0 && moved.Readings[i].Unit.Kind() == gauge.KindLength {
					moved.Readings[i].Value += gauge.Length(random.NormFloat64() * float64(n) * 5e6)
				}
			}
			if n%2 == 1 {
				off := map[string]gauge.Length{}
				for _, s := range p.Measure {
					off[s.Name] = mm("0.002")
				}
				moved.TakenOff = []compute.TakenOff{{Name: "one", Of: off}, {Name: "another", Of: off, Unknown: n%4 == 1}}
			}
			full, err := Evaluate(p, family, moved)
			want := briefly(t, full, err)
			short, err := b.Evaluate(p, family, moved)
			if got := briefly(t, short, err); got != want {
				t.Fatalf("%s, %d:\n got %s\nwant %s", path, n, got, want)
			}
			outcomes[full.Outcome]++
		}
	}
	if len(outcomes) < 6 {
		t.Errorf("outcomes %v", outcomes)
	}
}

// TestBriefAgreesOnMonteCarlo: a rectangular error that dominates, with budgets
// that are equal and with such that are not.
func TestBriefAgreesOnMonteCarlo(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(play))
	if err != nil {
		t.Fatal(err)
	}
	b := NewBrief()
	random := rand.New(rand.NewPCG(4, 4))
	drawn := 0
	for n := range 400 {
		var in compute.Input
		for range []int{1, 5}[n%2] {
			in.Readings = append(in.Readings, procedure.Reading{Measurement: "end_play", Value: mm("0.05") + gauge.Length(random.NormFloat64()*3e6), Unit: gauge.Millimetre})
		}
		if n%3 == 0 {
			in.TakenOff = []compute.TakenOff{{Name: "error taken off", Of: map[string]gauge.Length{"end_play": gauge.Length(random.IntN(3_000_000))}, Unknown: n%2 == 0}}
		}
		full, err := Evaluate(p, nil, in)
		want := briefly(t, full, err)
		short, err := b.Evaluate(p, nil, in)
		if got := briefly(t, short, err); got != want {
			t.Fatalf("%d:\n got %s\nwant %s", n, got, want)
		}
		if full.Budgets[0].Simulated != nil {
			drawn++
		}
	}
	if drawn < 100 {
		t.Errorf("%d Monte Carlo runs", drawn)
	}
}

// TestTakenOffCounts: what was taken off two measurements is one error. The play
// is their difference, in which it cancels; of one alone it counts in full.
func TestTakenOffCounts(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\ninstruments: {dial: {resolution: 0.001, error: 0.0001}}\n"+
		"measure: {a: {title: a, instrument: dial}, b: {title: b, instrument: dial}}\ngap: a - b\nallow: {result: {min: 1, max: 2}}\n"))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{Readings: []procedure.Reading{
		{Measurement: "a", Value: mm("3"), Unit: gauge.Millimetre}, {Measurement: "b", Value: mm("1.5"), Unit: gauge.Millimetre},
	}}
	standard := func(off ...map[string]gauge.Length) gauge.Length {
		in.TakenOff = nil
		for i, of := range off {
			in.TakenOff = append(in.TakenOff, compute.TakenOff{Name: fmt.Sprint("error ", i), Of: of})
		}
		e, err := Evaluate(p, nil, in)
		if err != nil || len(e.Budgets) != 1 {
			t.Fatal(e, err)
		}
		return e.Budgets[0].Standard
	}
	none, one := standard(), standard(map[string]gauge.Length{"a": mm("0.003")})
	if both := standard(map[string]gauge.Length{"a": mm("0.003"), "b": mm("0.003")}); both != none {
		t.Errorf("of both %d, without %d", both, none)
	}
	if want := mm("0.003"); none >= want/5 || one <= want || one > want+want/50 { // root of 3 and 0.42 squared
		t.Errorf("without %d, of one %d", none, one)
	}
}

// TestUnknownTakenOffDoesNotCancel: what is unknown at each reading counts at both in a
// difference, and adds up in a sum.
func TestUnknownTakenOffDoesNotCancel(t *testing.T) {
	for gap, times := range map[string]float64{"a - b": math.Sqrt2, "a + b": 2} {
		p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\ninstruments: {dial: {resolution: 0.000001, error: 0.000001}}\n"+
			"measure: {a: {title: a, instrument: dial}, b: {title: b, instrument: dial}}\ngap: "+gap+"\nallow: {result: {min: 1, max: 9}}\n"))
		if err != nil {
			t.Fatal(err)
		}
		in := compute.Input{Readings: []procedure.Reading{
			{Measurement: "a", Value: mm("3"), Unit: gauge.Millimetre}, {Measurement: "b", Value: mm("1.5"), Unit: gauge.Millimetre},
		}, TakenOff: []compute.TakenOff{{Name: "between", Of: map[string]gauge.Length{"a": mm("0.003"), "b": mm("0.003")}, Unknown: true}}}
		e, err := Evaluate(p, nil, in)
		if err != nil || len(e.Budgets) != 1 {
			t.Fatal(e, err)
		}
		if got := e.Budgets[0].Standard.Metres() * 1e6; math.Abs(got-3*times) > 0.01 { // it is rounded
			t.Errorf("%s: %g um, want %g", gap, got, 3*times)
		}
	}
}
