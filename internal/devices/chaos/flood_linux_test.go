package chaos_test

import (
	"bytes"
	"testing"

	"gauged/internal/gauge"
)

// TestFloods sends thousands of frames as fast as the line takes them, with
// floods of noise between.
func TestFloods(t *testing.T) {
	t.Parallel()
	onLines(t, 6, each(patient, bare), func(l *line, _ int) {
		l.floodOfFrames(4000)
		l.floodOfNoise(200_000)
		l.floodOfFrames(1000)
		l.endlessNoise(200_000)
		l.floodOfFrames(1000)
	})
}

// TestFloodOfNoiseIsThinned: the rejections that are listed are few, all are
// counted, and none holds more bytes than a frame has.
func TestFloodOfNoiseIsThinned(t *testing.T) {
	t.Parallel()
	onLines(t, 1, each(patient), func(l *line, _ int) {
		l.floodOfNoise(1_000_000)
		l.settle()
		l.mu.Lock()
		counted, listed := l.rejections(), l.listed
		l.mu.Unlock()
		if counted < 5000 || listed > counted/20 {
			l.fatalf("%d of %d rejections were listed", listed, counted)
		}
	})
}

func (l *line) floodOfFrames(count int) { l.say(l.format.frames(l.rng, count)) }

// floodOfNoise sends random bytes. An end of frame follows them.
func (l *line) floodOfNoise(size int) { l.say(append(l.randomBytes(size), l.format.end...)) }

// endlessNoise sends what has no end of frame, and then one: the frame before
// the end is lost with the noise.
func (l *line) endlessNoise(size int) {
	l.say(append(bytes.Repeat([]byte("U"), size), l.format.frame(l.rng)...))
}

// floodInShort is what one of many lines can stand.
func (l *line) floodInShort() {
	l.floodOfFrames(200)
	l.floodOfNoise(5000)
	l.floodOfFrames(20)
	l.endlessNoise(5000)
	l.floodOfFrames(20)
}

func (l *line) randomBytes(size int) []byte {
	raw := make([]byte, size)
	for i := range raw {
		raw[i] = byte(l.rng.IntN(256))
	}
	return raw
}

// TestUnits switches a gauge between inch and millimetre in mid-stream. With a
// unit in the definition the other one is refused.
func TestUnits(t *testing.T) {
	t.Parallel()
	onlyMillimetre := *patient
	onlyMillimetre.unit = gauge.Millimetre
	onlyMillimetre.judge = func(stretch []byte, first, ended bool) (kept []value, refused int) {
		values, refused := patient.judge(stretch, first, ended)
		for _, v := range values {
			if v.unit == gauge.Millimetre {
				kept = append(kept, v)
			}
		}
		return kept, refused + len(values) - len(kept)
	}
	onLines(t, 8, each(patient, brisk, &onlyMillimetre), func(l *line, id int) {
		l.say([]byte(l.format.end)) // in step: what is rejected from here on is no tail
		l.floodOfFrames(50)
		l.settle()
		l.mu.Lock()
		defer l.mu.Unlock()
		units := map[gauge.Unit]int{}
		for _, v := range l.values {
			units[v.unit]++
		}
		inches := units[gauge.Inch]
		if id%3 == 2 {
			inches = l.rejected[gauge.ReasonUnit]
		}
		if units[gauge.Millimetre] == 0 || inches == 0 || id%3 == 2 && (units[gauge.Inch] > 0 || l.rejections() != inches) {
			l.fatalf("values %v, rejections %v", units, l.rejected)
		}
	})
}
