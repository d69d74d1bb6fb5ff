package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestProductsOfProducts: a file can ask for numbers of any size; the answer
// comes at once and says so.
func TestProductsOfProducts(t *testing.T) {
	var values strings.Builder
	for i := range 60 {
		fmt.Fprintf(&values, "  v%d: {value: v%d*v%d, unit: number}\n", i+1, i, i)
	}
	content := "procedure: p\ntitle: t\nunit: mm\nmeasure: {v0: {title: number, unit: number}}\nvalues:\n" + values.String()
	p, err := readProcedure("p.yaml", []byte(content))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Evaluate(p, nil, compute.Input{Readings: []procedure.Reading{{Measurement: "v0", Value: 1_000_000_001, Unit: gauge.One}}})
	want := "procedure p: v10 = v9*v9: the exact result has too many digits: write the formula with fewer products and quotients"
	if err == nil || english().Error(err) != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
