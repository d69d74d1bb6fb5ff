package capture

import (
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

var update = flag.Bool("update", false, "write the expected results anew")

// TestRecordedMotion plays recorded streams; what must be found stands beside
// each in a .want file.
func TestRecordedMotion(t *testing.T) {
	files, err := filepath.Glob("../../../testdata/motion/*.csv")
	if err != nil || len(files) == 0 {
		t.Fatalf("no recorded motion, %v", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			got := described(readMotion(t, file))
			want := strings.TrimSuffix(file, ".csv") + ".want"
			if *update {
				if err := os.WriteFile(want, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			expected, err := os.ReadFile(want)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(expected) {
				t.Errorf("got\n%s\nwant\n%s", got, expected)
			}
		})
	}
}

func readMotion(t *testing.T, file string) []Reading {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 10 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	var readings []Reading
	for i, row := range rows[1:] {
		ms, err := strconv.Atoi(row[0])
		if err != nil {
			t.Fatal(err)
		}
		readings = append(readings, Reading{uint64(i + 1), time.Duration(ms) * time.Millisecond, gauge.MustLength(row[1], gauge.Millimetre)})
	}
	return readings
}

// described writes what all three captures find in a stream.
func described(readings []Reading) string {
	c := Config{Strokes: 100}.With(2 * um)
	stops, stable, turn := NewEndStops(c), NewStable(c), NewTurn(c)
	var b strings.Builder
	for _, x := range readings {
		stops.Step(x)
		turn.Step(x)
		if at, ok := stable.Step(x); ok && b.Len() == 0 {
			fmt.Fprintf(&b, "first rest %s\n", mm(at.Value))
		}
	}
	fmt.Fprintf(&b, "extremes %s to %s\n", mm(turn.Smallest.Value), mm(turn.Largest.Value))
	found := stops.Found()
	for _, s := range found.Strokes {
		fmt.Fprintf(&b, "stroke %s to %s: %s\n", mm(s.From.Value), mm(s.To.Value), mm(s.Play()))
	}
	for _, f := range found.Faults {
		fmt.Fprintf(&b, "fault at %s: %s, %s\n", mm(f.At.Value), f.Reason, mm(f.By))
	}
	return b.String()
}

func mm(l gauge.Length) string { return l.Text(gauge.Millimetre, 3) }
