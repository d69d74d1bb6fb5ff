package signs

import (
	"math"
	"slices"
	"testing"

	"gauged/internal/gauge"
)

// TestMovingPart: the rests at both ends are left out, and of a turn in which nothing
// moved everything stays.
func TestMovingPart(t *testing.T) {
	for _, c := range []struct {
		stroke       bool
		values, want []gauge.Length
	}{
		{true, []gauge.Length{0, 1, 0, 4, 5, 30, 60, 96, 95, 100, 99}, []gauge.Length{5, 30, 60}},
		{false, []gauge.Length{0, 0, 9, 40, 9, 0, 1}, []gauge.Length{9, 40, 9}},
		{false, []gauge.Length{7, 7, 7}, []gauge.Length{7, 7, 7}},
		{true, []gauge.Length{7, 7, 7}, nil},
		{false, []gauge.Length{0, 1, 2, 1}, nil},
		{false, nil, nil},
	} {
		if got := (Movement{Stroke: c.stroke, Values: c.values}).moving(1); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.values, got, c.want)
		}
	}
}

// TestNothingMoved: a turn in which the reading never changed is a stuck spindle, when
// it is known how the gauge moves.
func TestNothingMoved(t *testing.T) {
	step := gauge.Length(1)
	turn := func(moves gauge.Length) Job {
		m := Movement{}
		for i := range 101 {
			m.Values = append(m.Values, gauge.Length(50-abs(50-i))*moves)
		}
		return Job{Movements: []Movement{m}}
	}
	l := looker{History: History{Gauge: Gauge{Mode: gauge.ModeStream, Ability: gauge.Ability{Resolution: &step}}}}
	for _, moves := range []gauge.Length{7, 7, 0} {
		l.Jobs = append(l.Jobs, turn(moves))
	}
	l.stuck()
	if s := l.signs[0]; s.Kind != Stuck || !s.Found || told(s.Detail) != "101 readings in a row did not change, up to reading 101 of 101" {
		t.Errorf("%+v", s)
	}
	l.Jobs, l.signs = l.Jobs[:1], nil
	if l.stuck(); told(l.signs[0].Refused) != "too little is known of how it moves: its next jobs with a turn or with strokes will tell" {
		t.Errorf("%+v", l.signs[0])
	}
}

func abs(i int) int { return max(i, -i) }

// TestExpected: what a measurement should be comes from its plausible range, or from other
// jobs where there is none.
func TestExpected(t *testing.T) {
	l := looker{}
	add := func(values ...gauge.Length) {
		for _, v := range values {
			l.Jobs = append(l.Jobs, Job{Procedure: "simulated", Plausible: plausible, Values: map[string][]gauge.Length{"height": {v * micron}, "other": {v * micron}}})
		}
	}
	expect := func(measurement string, value, sd float64) {
		t.Helper()
		got, gotSD := l.expected(len(l.Jobs)-1, measurement)
		if math.Abs(got/1e6-value) > 0.5 || math.Abs(gotSD/1e6-sd) > 0.5 {
			t.Errorf("%s with %d jobs: %.0f and %.0f um, want %.0f and %.0f", measurement, len(l.Jobs), got/1e6, gotSD/1e6, value, sd)
		}
	}
	add(2400, 2401, 2402, 2403, 98)
	expect("height", 2500, 1000/math.Sqrt(12)) // four others are too few
	expect("other", 0, 0)
	add(97)
	expect("height", 2500, 1000/math.Sqrt(12))
	expect("other", 2401, 120) // a twentieth
}
