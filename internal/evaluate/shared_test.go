package evaluate

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
)

// TestSharedErrorsAgainstAnotherLibrary compares value and standard uncertainty
// of 160 results, in which measurements share the error of their gauge, with a
// library that follows each error through the formula.
func TestSharedErrorsAgainstAnotherLibrary(t *testing.T) {
	content, err := os.ReadFile("../../testdata/uncertainty/shared.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Cases []struct {
			Formula         string
			Gauges, Varies  map[string]float64
			Values, By      map[string]string
			Value, Standard float64
		}
	}
	if err := json.Unmarshal(content, &file); err != nil || len(file.Cases) < 160 {
		t.Fatalf("%d cases, %v", len(file.Cases), err)
	}
	for _, c := range file.Cases {
		var b strings.Builder
		b.WriteString("procedure: p\ntitle: t\nunit: mm\ninstruments:\n")
		used := slices.Collect(maps.Values(c.By))
		for name, limit := range c.Gauges {
			if !slices.Contains(used, name) {
				continue
			}
			unit, varies := "mm", ", varies: 0" // one error everywhere, as that library has it
			if name == "protractor" {
				unit = "deg"
			}
			if v, ok := c.Varies[name]; ok {
				varies = fmt.Sprintf(", varies: %v", v)
			}
			fmt.Fprintf(&b, "  %s: {unit: %s, error: %v%s}\n", name, unit, limit, varies)
		}
		b.WriteString("measure:\n")
		var readings []string
		for name, by := range c.By {
			unit := "mm"
			if by == "protractor" {
				unit = "deg"
			}
			fmt.Fprintf(&b, "  %s: {title: m, unit: %s, instrument: %s}\n", name, unit, by)
			readings = append(readings, name+" "+c.Values[name])
		}
		fmt.Fprintf(&b, "values:\n  y: %s\n", c.Formula)
		e := evaluateText(t, b.String(), strings.Join(readings, ", "))
		value, standard := float64(e.Sums[0].Value)/1e9, float64(e.Budgets[0].Standard)/1e9
		if math.Abs(value-c.Value) > 1e-11*math.Abs(c.Value)+1e-9 || math.Abs(standard-c.Standard) > 0.0051*c.Standard+1e-9 {
			t.Errorf("%s of %v by %v: %.9f with %.6g, want %.9f with %.6g", c.Formula, c.Values, c.By, value, standard, c.Value, c.Standard)
		}
		if e.Budgets[0].Unit != gauge.Millimetre {
			t.Errorf("%s is in %v", c.Formula, e.Budgets[0].Unit)
		}
	}
}

// TestImpedance is JCGM 100, H.2, by the second approach of H.2.4: resistance,
// reactance and impedance of each of five sets of voltage, current in milliampere
// and phase, then their mean and its standard deviation. Readings and results are
// those of tables H.2 and H.4, the angle turned from radians into degrees.
func TestImpedance(t *testing.T) {
	const text = "procedure: p\ntitle: t\nunit: mm\nmeasure:\n  v: {title: V, unit: number}\n  i: {title: I, unit: number}\n  phi: {title: phase, unit: deg}\n" +
		"constants: {milli: {value: 1000, unit: number}}\n" +
		"values:\n  R: {value: milli * v * cos(phi) / i, unit: number}\n  X: {value: milli * v * sin(phi) / i, unit: number}\n  Z: {value: milli * v / i, unit: number}\n"
	sets := [][3]float64{{5.007, 19.663, 1.0456}, {4.994, 19.639, 1.0438}, {5.005, 19.640, 1.0468}, {4.990, 19.685, 1.0428}, {4.999, 19.678, 1.0433}}
	results := map[string][]float64{}
	for _, set := range sets {
		e := evaluateText(t, text, fmt.Sprintf("v %.3f, i %.3f, phi %.9f", set[0], set[1], set[2]*180/math.Pi))
		for _, s := range e.Sums {
			results[s.Name] = append(results[s.Name], float64(s.Value)/1e9)
		}
	}
	for _, c := range []struct {
		name           string
		mean, standard float64 // as printed
	}{{"R", 127.732, 0.071}, {"X", 219.847, 0.295}, {"Z", 254.260, 0.236}} {
		mean, sd := uncertainty.MeanStdDev(results[c.name])
		if u := sd / math.Sqrt(5); math.Abs(mean-c.mean) > 0.0006 || math.Abs(u-c.standard) > 0.0006 {
			t.Errorf("%s is %.4f with %.4f, printed are %.3f and %.3f", c.name, mean, u, c.mean, c.standard)
		}
	}
}
