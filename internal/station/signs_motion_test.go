package station

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/job"
)

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
	l, err := lookedAt(t.Context(), r.store, r.Station.looks.files, GaugeInfo{ID: "probe", Mode: gauge.ModeStream}, nil)
	if err != nil || len(l.Jobs) != 1 {
		t.Fatal(l.Jobs, err)
	}
	var got []string
	for _, m := range l.Jobs[0].Movements {
		values := ""
		for _, v := range slices.Compact(m.Values) {
			values += " " + v.Text(gauge.Millimetre, 3)
		}
		got = append(got, fmt.Sprintf("%s %s to %s:%s", m.Measurement, m.From.Text(gauge.Millimetre, 3), m.To.Text(gauge.Millimetre, 3), values))
	}
	want := []string{
		"end_play 0.000 to 0.180: 0.000 0.050 0.120 0.180", "end_play 0.180 to 0.000: 0.180 0.120 0.050 0.000", "end_play 0.000 to 0.180: 0.000 0.050 0.120 0.180",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

var turnsBegan = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// TestTurnsOfAJob: a turn begins with its first reading and ends when it was watched for
// long enough; the next one begins anew.
func TestTurnsOfAJob(t *testing.T) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), rocked)
	j := r.start(map[string]string{"*": "probe"})
	took := func(seconds float64, value gauge.Length) job.Taken {
		at := turnsBegan.Add(time.Duration(seconds * float64(time.Second)))
		return job.Taken{Reading: &gauge.Reading{Gauge: "probe", Time: at, Value: value, Shown: "0.000", Unit: gauge.Millimetre}}
	}
	f := job.Folded{Job: j, Named: map[uint64]job.Taken{}}
	for _, x := range []struct {
		seq     uint64
		seconds float64
		value   gauge.Length
	}{{10, 0, 0}, {40, 3, 9}, {110, 10, 1}, {200, 20, 2}, {300, 30.02, 3}, {400, 40, 4}} {
		named := took(x.seconds, x.value)
		f.Named[x.seq] = named
		j.TakeReading(job.TakenData{Reading: x.seq, Measurement: "runout"}, named)
	}
	var got []string
	for _, s := range spans(f, "probe") {
		got = append(got, fmt.Sprintf("%d to %d: %d to %d", s.first, s.last, s.From, s.To))
	}
	if want := []string{"10 to 110: 0 to 1", "200 to 300: 2 to 3"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
