package station

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/signs"
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
		if got := (movement{stroke: c.stroke, values: c.values}).moving(1); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.values, got, c.want)
		}
	}
}

// TestSignsOfCaptures: strokes that a station captured, with the stream between their
// ends, are what it looks at.
func TestSignsOfCaptures(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
	r.start(map[string]string{"*": "probe"})
	if _, _, err := captured(t, r, func(s *stream) {
		s.rest("0.000")
		for range 2 {
			s.send("0.050", "0.120", "0.120")
			s.rest("0.180")
			s.send("0.120", "0.050")
			s.rest("0.000")
		}
	}); err != nil {
		t.Fatal(err)
	}
	r.Station.looks.mu.Lock()
	defer r.Station.looks.mu.Unlock()
	l, err := r.Station.looker(t.Context(), GaugeInfo{ID: "probe", Mode: gauge.ModeStream})
	if err != nil || len(l.jobs) != 1 {
		t.Fatal(l.jobs, err)
	}
	var got []string
	for _, m := range l.jobs[0].movements {
		values := ""
		for _, v := range m.moving(gauge.Micrometre.Size()) {
			values += " " + v.Text(gauge.Millimetre, 3)
		}
		got = append(got, fmt.Sprintf("%s %s to %s:%s", m.measurement, m.from.Text(gauge.Millimetre, 3), m.to.Text(gauge.Millimetre, 3), values))
	}
	want := []string{
		"end_play 0.000 to 0.180: 0.050 0.120 0.120", "end_play 0.180 to 0.000: 0.120 0.050", "end_play 0.000 to 0.180: 0.050 0.120 0.120",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestTurnsOfAJob: a turn begins with its first reading and ends when it was watched for
// long enough; the next one begins anew.
func TestTurnsOfAJob(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
	j := r.start(map[string]string{"*": "probe"})
	took := func(seconds float64, value gauge.Length) taken {
		at := signBegan.Add(time.Duration(seconds * float64(time.Second)))
		return taken{reading: &gauge.Reading{Gauge: "probe", Time: at, Value: value, Shown: "0.000", Unit: gauge.Millimetre}}
	}
	f := foldedJob{j, map[uint64]taken{}}
	for _, x := range []struct {
		seq     uint64
		seconds float64
		value   gauge.Length
	}{{10, 0, 0}, {40, 3, 9}, {110, 10, 1}, {200, 20, 2}, {300, 30.02, 3}, {400, 40, 4}} {
		named := took(x.seconds, x.value)
		f.named[x.seq] = named
		j.takeReading(takenData{Reading: x.seq, Measurement: "runout"}, named)
	}
	var got []string
	for _, s := range f.spans("probe") {
		got = append(got, fmt.Sprintf("%d to %d: %d to %d", s.first, s.last, s.from, s.to))
	}
	if want := []string{"10 to 110: 0 to 1", "200 to 300: 2 to 3"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestNothingMoved: a turn in which the reading never changed is a stuck spindle, when
// it is known how the gauge moves.
func TestNothingMoved(t *testing.T) {
	step := gauge.Length(1)
	turn := func(moves gauge.Length) measuredJob {
		m := movement{}
		for i := range 101 {
			m.values = append(m.values, gauge.Length(50-abs(50-i))*moves)
		}
		return measuredJob{movements: []movement{m}}
	}
	l := looker{gauge: GaugeInfo{Mode: gauge.ModeStream, Ability: gauge.Ability{Resolution: &step}}}
	for _, moves := range []gauge.Length{7, 7, 0} {
		l.jobs = append(l.jobs, turn(moves))
	}
	l.stuck()
	if s := l.signs[0]; s.Kind != signs.Stuck || !s.Found || s.Detail != "101 readings in a row did not change, up to reading 101 of 101" {
		t.Errorf("%+v", s)
	}
	l.jobs, l.signs = l.jobs[:1], nil
	if l.stuck(); l.signs[0].Refused != "too little is known of how it moves: its next jobs with a turn or with strokes will tell" {
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
			l.jobs = append(l.jobs, measuredJob{procedure: signOf, values: map[string][]gauge.Length{"height": {v * micron}, "other": {v * micron}}})
		}
	}
	expect := func(measurement string, value, sd float64) {
		t.Helper()
		got, gotSD := l.expected(len(l.jobs)-1, measurement)
		if math.Abs(got/1e6-value) > 0.5 || math.Abs(gotSD/1e6-sd) > 0.5 {
			t.Errorf("%s with %d jobs: %.0f and %.0f um, want %.0f and %.0f", measurement, len(l.jobs), got/1e6, gotSD/1e6, value, sd)
		}
	}
	add(2400, 2401, 2402, 2403, 98)
	expect("height", 2500, 1000/math.Sqrt(12)) // four others are too few
	expect("other", 0, 0)
	add(97)
	expect("height", 2500, 1000/math.Sqrt(12))
	expect("other", 2401, 120) // a twentieth
}
