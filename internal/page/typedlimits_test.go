package page

import "testing"

// TestLimitsInTheirUnit: limits that the procedure has in another unit than what is measured
// are shown in both.
func TestLimitsInTheirUnit(t *testing.T) {
	r := rigOf(t, `procedure: ring
title: Turning torque
unit: mm
measure: {torque: {title: Turning torque, unit: N m}}
constants: {least: {value: 15, unit: lbf in}, most: {value: 35, unit: lbf in}}
judge: {torque: {min: least, max: most}}
`)
	r.begin()
	r.does("enter", []string{"shown", "3", "unit", "N m"})
	r.has("/jobs/1", nil, "1.6948 N m to 3.9545 N m (15 lbf in to 35 lbf in)")
	r.has("/jobs/1", []string{"Accept-Language", "de"}, "(15 lbf in bis 35 lbf in)")
}
