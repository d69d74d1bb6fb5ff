package simulate

import (
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate/capture"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// TestRockedShaft: a shaft is pushed to and fro under a streaming indicator,
// and the play comes out of its frames.
func TestRockedShaft(t *testing.T) {
	b, port := start(t, "gauges:\n  dial: {layout: signed-line, mode: stream, every: 50ms, unit: mm, value: 0.000, noise: 0.001}\n")
	if err := b.Do("rock dial 0.010 0.192 1"); err != nil {
		t.Fatal(err)
	}
	stops := capture.NewEndStops(capture.Config{Strokes: 2}.With(gauge.Micrometre.Size()))
	began := time.Now()
	for seq := uint64(1); !stops.Found().Done; seq++ {
		if time.Since(began) > within {
			t.Fatalf("found only %+v", stops.Found())
		}
		frame := strings.TrimSpace(read(t, port, 1, "\n")[0])
		value, err := gauge.ParseLength(frame, gauge.Millimetre)
		if err != nil {
			t.Fatal(err)
		}
		stops.Step(capture.Reading{Seq: seq, Time: time.Since(began), Value: value})
	}
	for _, s := range stops.Found().Strokes {
		if off := (s.Play() - gauge.MustLength("0.182", gauge.Millimetre)).Abs(); off > 3*gauge.Micrometre.Size() {
			t.Errorf("play %s mm", s.Play().Text(gauge.Millimetre, 3))
		}
	}
}

// TestMotionsEndWhereTheyBegan: after rocking and after a turn the shaft is
// where it was.
func TestMotionsEndWhereTheyBegan(t *testing.T) {
	um := gauge.Micrometre.Size()
	for name, m := range map[string]motion{"rock": rocking(10*um, 200*um, 3), "turn": turning(10*um, 50*um)} {
		if m.at(0) != 10*um || m.at(m.lasts) != 10*um {
			t.Errorf("%s begins at %d pm and ends at %d pm", name, m.at(0), m.at(m.lasts))
		}
	}
	if m := turning(0, 50*um); m.at(turnTime/2) != 50*um {
		t.Errorf("half a turn gives %d pm", m.at(turnTime/2))
	}
	b, _ := start(t, "gauges:\n  dial: {layout: signed-line, mode: stream, unit: mm, value: 0.000}\n")
	for line, want := range map[string]string{
		"rock dial 0 0.1 0": `"0" is not a number of times from 1 to 100`,
		"rock dial 0 x 1":   `"x" is not a length: it is not a plain decimal number`,
		"turn dial 1,5":     `"1,5" is not a length: the decimal sign must be a point, not a comma`,
		"turn gap 1":        `there is no gauge "gap": there are dial`,
	} {
		if err := b.Do(line); err == nil || words.In(words.English).Error(err) != want {
			t.Errorf("%s: got %v, want %s", line, err, want)
		}
	}
}
