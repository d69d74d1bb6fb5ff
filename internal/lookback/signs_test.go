package lookback

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
)

// turned measures in turns; all of it is invented.
const turned = `procedure: ring
title: Runout as found
unit: mm
measure:
  runout: {title: runout, repeats: 2, take: range, capture: turn}
gap: runout
allow: {result: {min: 0.1, max: 0.3}}
`

var turnsBegan = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// TestTurnsOfAJob: a turn begins with its first reading and ends when it was watched for
// long enough; the next one begins anew.
func TestTurnsOfAJob(t *testing.T) {
	p, err := evaluate.ReadStoredProcedure("turned.yaml", []byte(turned))
	if err != nil {
		t.Fatal(err)
	}
	j := &job.Job{Procedure: p}
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
