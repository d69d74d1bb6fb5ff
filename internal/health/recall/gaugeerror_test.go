package recall

import (
	"testing"
	"time"

	"gauged/internal/gauge"
)

// flat is an error that is the same at every reading.
func flat(t *testing.T, e GaugeError, off gauge.Length) GaugeError {
	t.Helper()
	curve, err := Flat(off, 0)
	if err != nil {
		t.Fatal(err)
	}
	e.curve = curve
	if err := e.build(); err != nil {
		t.Fatal(err)
	}
	return e
}

func TestGaugeErrorInTime(t *testing.T) {
	begin := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	at := func(ns int) time.Time { return begin.Add(time.Duration(ns)) }
	of := func(e GaugeError, off gauge.Length) GaugeError { return flat(t, e, off) }
	growing := of(GaugeError{Model: CourseGrowing, Since: begin, Until: at(4)}, -10)
	gone := of(GaugeError{Until: at(4), Ended: at(4)}, 7)
	for _, c := range []struct {
		name string
		e    GaugeError
		ns   int
		want gauge.Length
	}{
		{"constant", of(GaugeError{Since: begin}, 7), 1, 7},
		{"adjusted away, before", gone, 3, 7},
		{"adjusted away", gone, 4, 0},
		{"growing, before", growing, -1, 0},
		{"growing, at its begin", growing, 0, 0},
		{"-2.5 to even", growing, 1, -2},
		{"half", growing, 2, -5},
		{"-7.5 to even", growing, 3, -8},
		{"growing, at its end", growing, 4, -10},
		{"growing, after", growing, 9, -10},
		{"growing up, 2.5 to even", of(GaugeError{Model: CourseGrowing, Since: begin, Until: at(4)}, 10), 1, 2},
		{"growing up, two thirds", of(GaugeError{Model: CourseGrowing, Since: begin, Until: at(3)}, 1), 2, 1},
		{"a kilometre in three years", of(GaugeError{Model: CourseGrowing, Since: begin, Until: at(3 * 1e17)}, gauge.MaxLength), 1e17, 333_333_333_333_333},
	} {
		if got := c.e.At(at(c.ns), 0).Error; got != c.want {
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
	type taken struct{ reading, from *gauge.Reading }
	up := taken{reading: read(150, 8), from: read(20, 2)}
	down := taken{reading: read(20, 8), from: read(150, 2)}
	unknown := taken{reading: read(150, 8), from: &gauge.Reading{Value: 20}}
	growing := flat(t, GaugeError{Model: CourseGrowing, Since: begin, Until: begin.Add(10)}, 10)
	for _, c := range []struct {
		name string
		e    GaugeError
		t    taken
		want gauge.Length
	}{
		{"constant", flat(t, GaugeError{}, 30), up, 130},
		{"growing by 6 on the way up", growing, up, 124},
		{"growing by 6 on the way down", growing, down, 136},
		{"a time that is not known", growing, unknown, 130},
	} {
		if got := c.e.takenOff(130, c.t.reading, c.t.from, begin).value; got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
	if got := growing.takenOff(150, &gauge.Reading{Value: 150}, nil, begin.Add(5)).value; got != 145 {
		t.Errorf("a reading without a time: %d, want that of the start of its job, 145", got)
	}
}
