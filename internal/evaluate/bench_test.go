package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// BenchmarkEvaluate: ten links of three readings each, twenty grades; then the
// same with a budget of thirty contributions and a probability for each grade.
func BenchmarkEvaluate(b *testing.B) {
	var steps, sum strings.Builder
	var in compute.Input
	stated := map[string]gauge.Ability{}
	resolution, mpe := mm("0.001"), mm("0.003")
	for i := range 10 {
		name := fmt.Sprint("m", i)
		fmt.Fprintf(&steps, "  %s: {title: link, repeats: 3}\n", name)
		sum.WriteString([]string{" + ", " - "}[i%2] + name)
		for n := range 3 {
			in.Readings = append(in.Readings, procedure.Reading{
				Measurement: name, Unit: gauge.Millimetre,
				Value: mm("10") + gauge.Length(5-i%2)*3e8 + gauge.Length(n)*1e6,
			})
		}
		stated[name] = gauge.Ability{Unit: gauge.Millimetre, Resolution: &resolution, Error: &mpe}
	}
	p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\nmeasure:\n"+steps.String()+"gap:"+sum.String()+
		"\nallow: {play: {min: 0.1, max: 0.2}}\nparts: f\nchoose: {method: middle}\n"))
	if err != nil {
		b.Fatal(err)
	}
	f, exact := &procedure.Family{ID: "f", Unit: gauge.Millimetre}, &procedure.Family{ID: "f", Unit: gauge.Millimetre}
	for i := range 20 {
		t, tolerance := mm("1")+gauge.Length(i)*50e6, mm("0.005")
		f.Grades = append(f.Grades, procedure.Grade{Part: fmt.Sprint("g", i), Thickness: &t, Tolerance: &tolerance})
		exact.Grades = append(exact.Grades, procedure.Grade{Part: fmt.Sprint("g", i), Thickness: &t})
	}
	run := func(b *testing.B, f *procedure.Family, in compute.Input, budgets int) {
		b.ReportAllocs()
		for b.Loop() {
			if e, err := Evaluate(p, f, in); err != nil || e.Choice == nil || len(e.Budgets) != budgets {
				b.Fatal(e.Outcome, err)
			}
		}
	}
	b.Run("sums", func(b *testing.B) { run(b, exact, in, 0) })
	b.Run("budget", func(b *testing.B) {
		in := in
		in.Gauges = stated
		run(b, f, in, 2)
	})
}
