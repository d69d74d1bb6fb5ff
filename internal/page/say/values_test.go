package say

import (
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// TestValues: values have their digits, their unit as people read it and the decimal
// sign of the language.
func TestValues(t *testing.T) {
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	german := c.In("de")
	mm := func(digits string) *gauge.Length { l := gauge.MustLength(digits, gauge.Millimetre); return &l }
	said := func(text string, err error) string {
		if err != nil {
			t.Error(err)
		}
		return text
	}
	for want, got := range map[string]string{
		"1,250 mm":                   Length(german, *mm("1.25"), gauge.Millimetre),
		"0,0004 mm":                  Length(german, *mm("0.0004"), gauge.Millimetre),
		"12,5 µm":                    said(Shown(german, "12.5", gauge.Micrometre)),
		"0,350 mm bis 0,400 mm":      said(Limits(german, procedure.Limits{Min: mm("0.35"), Max: mm("0.4")}, gauge.Millimetre)),
		"mindestens 0,350 mm":        said(Limits(german, &procedure.Limits{Min: mm("0.35")}, gauge.Millimetre)),
		"höchstens 0,400 mm":         said(Limits(german, procedure.Limits{Max: mm("0.4")}, gauge.Millimetre)),
		"-":                          said(Limits(german, procedure.Limits{}, gauge.Millimetre)),
		"zwischen 0,1 µm und 0,2 µm": said(Between(german, nil, &procedure.Limits{Min: mm("0.0001"), Max: mm("0.0002")}, gauge.Micrometre)),
		"0,100 mm":                   said(Between(german, Called(procedure.WordPreload, mm("-0.1")), procedure.WordPreload.CalledBetween(nil), gauge.Millimetre)),
		"20 °C":                      Length(german, gauge.MustLength("20", gauge.DegreeCelsius), gauge.DegreeCelsius),
		"Tiefe (Runde 2)":            said(Step(german, procedure.Step{Name: "depth", Title: "Tiefe", Round: 2})),
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if _, err := Limits(german, "text", gauge.Millimetre); err == nil {
		t.Error("a text passes for limits")
	}
}

// TestMissedLimit: on the page, too, a value that misses its limit is not written as the limit.
func TestMissedLimit(t *testing.T) {
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	low := gauge.MustLength("0.1", gauge.Millimetre)
	j := evaluate.Judgement{Value: gauge.MustLength("0.09999", gauge.Millimetre), Unit: gauge.Millimetre}
	j.Allowed.Min = &low
	if value, err := Judged(c.In("de"), j); value != "0,09999 mm" || err != nil {
		t.Errorf("%s, %v", value, err)
	}
	if allowed, err := Wanted(c.In("de"), j); allowed != "mindestens 0,100 mm" || err != nil {
		t.Errorf("%s, %v", allowed, err)
	}
}
