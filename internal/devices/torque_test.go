package devices

import (
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// TestTorqueLayout: a wrench writes its unit as it likes; the layout says which it
// is, and its examples run as those of lengths do. A temperature is not sent.
func TestTorqueLayout(t *testing.T) {
	const text = `layout: wrench
title: A pull of a wrench with its unit
mode: button
frame: {ends: ["\r\n"], longest: 24}
match: '(?P<value>-?\d{1,4}\.\d) (?P<unit>[a-zA-Z]+)'
units: {Nm: N m, inlb: lbf in, N: UNIT}
good:
  - {bytes: "90.5 Nm\r\n", shown: "90.5", unit: N m, value: "90.5"}
  - {bytes: "15.0 inlb\r\n", shown: "15.0", unit: lbf in, value: "15"}
  - {bytes: "12.5 N\r\n", shown: "12.5", unit: UNIT, value: "12.5"}
  - {bytes: "-12.5 N\r\n", shown: "-12.5", unit: UNIT, value: "-12.5"}
bad:
  - {bytes: "90.5 ftlb\r\n", reason: unit}
`
	l, err := ParseLayout("wrench.yaml", []byte(strings.ReplaceAll(text, "UNIT", "N")))
	if err != nil {
		t.Fatal(err)
	}
	v, err := l.Decode([]byte("90.5 Nm"), gauge.UnitUnknown)
	if err != nil || v.Unit != gauge.NewtonMetre || v.Length != gauge.MustLength("90.5", gauge.NewtonMetre) {
		t.Errorf("%+v, %v", v, err)
	}
	if _, err := ParseLayout("wrench.yaml", []byte(strings.ReplaceAll(text, "UNIT", "degC"))); err == nil {
		t.Error("a temperature is taken as what a gauge sends")
	}
}

// TestProtractorLayout: an angle is sent in decimal degrees, and its digits are kept
// exactly.
func TestProtractorLayout(t *testing.T) {
	const text = `layout: protractor
title: An angle with its unit
mode: button
frame: {ends: ["\r\n"], longest: 24}
match: '(?P<value>-?\d{1,3}\.\d{2}) (?P<unit>[a-z]+)'
units: {deg: deg, mm: mm}
good:
  - {bytes: "12.35 deg\r\n", shown: "12.35", unit: deg, value: "12.35"}
  - {bytes: "-0.05 deg\r\n", shown: "-0.05", unit: deg, value: "-0.05"}
bad:
  - {bytes: "12.35 rad\r\n", reason: unit}
`
	l, err := ParseLayout("protractor.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if v, err := l.Decode([]byte("-0.05 deg"), gauge.Degree); err != nil || v.Unit != gauge.Degree || v.Length != gauge.MustLength("-0.05", gauge.Degree) {
		t.Errorf("%+v, %v", v, err)
	}
	if _, err := l.Decode([]byte("12.35 mm"), gauge.Degree); err == nil {
		t.Error("a length is taken from a gauge that is configured for degrees")
	}
}
