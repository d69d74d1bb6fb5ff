package station

import (
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"gauged/internal/gauge"
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
	l, err := r.Look(t.Context(), "probe")
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
