package station

import (
	"testing"
	"time"

	"gauged/internal/gauge"
)

func TestGaugeErrorInTime(t *testing.T) {
	begin := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	at := func(ns int) time.Time { return begin.Add(time.Duration(ns)) }
	growing := gaugeError{error: -10, model: ErrorGrowing, since: begin, until: at(4)}
	gone := gaugeError{error: 7, until: at(4), gone: true}
	for _, c := range []struct {
		name string
		e    gaugeError
		ns   int
		want gauge.Length
	}{
		{"constant", gaugeError{error: 7, since: begin}, 1, 7},
		{"adjusted away, before", gone, 3, 7},
		{"adjusted away", gone, 4, 0},
		{"growing, before", growing, -1, 0},
		{"growing, at its begin", growing, 0, 0},
		{"-2.5 to even", growing, 1, -2},
		{"half", growing, 2, -5},
		{"-7.5 to even", growing, 3, -8},
		{"growing, at its end", growing, 4, -10},
		{"growing, after", growing, 9, -10},
		{"growing up, 2.5 to even", gaugeError{error: 10, model: ErrorGrowing, since: begin, until: at(4)}, 1, 2},
		{"growing up, two thirds", gaugeError{error: 1, model: ErrorGrowing, since: begin, until: at(3)}, 2, 1},
		{"a kilometre in three years", gaugeError{error: gauge.MaxLength, model: ErrorGrowing, since: begin, until: at(3 * 1e17)}, 1e17, 333_333_333_333_333},
	} {
		if got, _ := c.e.at(at(c.ns)); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
}

// TestErrorTakenOffAWay: both ends of a way between two readings have the error;
// a constant one cancels, of a growing one what it grew meanwhile remains.
func TestErrorTakenOffAWay(t *testing.T) {
	begin := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	read := func(value gauge.Length, ns int) *gauge.Reading {
		return &gauge.Reading{Value: value, Time: begin.Add(time.Duration(ns))}
	}
	up := taken{reading: read(150, 8), from: read(20, 2)}
	down := taken{reading: read(20, 8), from: read(150, 2)}
	unknown := taken{reading: read(150, 8), from: &gauge.Reading{Value: 20}}
	growing := gaugeError{error: 10, model: ErrorGrowing, since: begin, until: begin.Add(10)}
	for _, c := range []struct {
		name string
		e    gaugeError
		t    taken
		want gauge.Length
	}{
		{"constant", gaugeError{error: 30}, up, 130},
		{"growing by 6 on the way up", growing, up, 124},
		{"growing by 6 on the way down", growing, down, 136},
		{"a time that is not known", growing, unknown, 130},
	} {
		if got, _ := c.e.takenOff(130, c.t, begin); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
	if got, _ := growing.takenOff(150, taken{reading: &gauge.Reading{Value: 150}}, begin.Add(5)); got != 145 {
		t.Errorf("a reading without a time: %d, want that of the start of its job, 145", got)
	}
}
