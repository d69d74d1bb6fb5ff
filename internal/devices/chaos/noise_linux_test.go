package chaos_test

import (
	"bytes"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestNoise garbles frames. What by chance is another valid frame may be
// delivered, and must be.
func TestNoise(t *testing.T) {
	t.Parallel()
	onLines(t, 20, each(patient, bare, brisk, gapped, bits), func(l *line, _ int) {
		for range 10 {
			l.noise()
		}
	})
}

// noise sends a garbled frame, or bytes that never were one, and then a frame.
func (l *line) noise() {
	frame := l.format.frame(l.rng)
	switch l.rng.IntN(6) {
	case 0:
		frame = l.randomBytes(1 + l.rng.IntN(l.format.longest))
	case 1:
		frame = make([]byte, 1+l.rng.IntN(l.format.longest)) // NULs: a broken line
	case 2: // a byte lost
		at := l.rng.IntN(len(frame))
		frame = slices.Delete(frame, at, at+1)
	case 3: // a byte too many
		frame = slices.Insert(frame, l.rng.IntN(len(frame)+1), byte(l.rng.IntN(256)))
	case 4: // a digit for another: a frame as good as the one that was meant
		if at := bytes.IndexAny(frame, "0123456789"); at >= 0 {
			frame[at] = '0' + byte(l.rng.IntN(10))
		}
	default:
		for range 1 + l.rng.IntN(3) {
			frame[l.rng.IntN(len(frame))] ^= 1 << l.rng.IntN(8)
		}
	}
	if l.format.end != "" && l.rng.IntN(3) > 0 || l.format.hasty {
		frame = append(frame, l.format.end...)
	}
	if len(frame) > 0 {
		l.say(frame)
	}
	l.say(l.format.frame(l.rng))
}

// TestHalfFrames cuts frames short: by a pause, by the next frame, and by the
// end of the frame that lost its middle.
func TestHalfFrames(t *testing.T) {
	t.Parallel()
	onLines(t, 20, each(brisk, gapped, bits, patient, bare), func(l *line, _ int) { l.halves() })
}

func (l *line) halves() {
	l.say(l.format.frame(l.rng))
	frame := l.format.frame(l.rng)
	whole := len(frame) - len(l.format.end)
	l.say(frame[:1+l.rng.IntN(whole-1)])
	if l.format.hasty {
		l.quiet()
		l.say(frame[1+l.rng.IntN(whole-1):]) // the rest comes too late
	}
	l.say(l.format.frame(l.rng))
	l.say(l.format.frame(l.rng))
}

// twice sends a frame twice: two readings, where there is no button to bounce.
func (l *line) twice() {
	frame := l.format.frame(l.rng)
	l.say(frame)
	l.say(frame)
	l.say(l.format.frame(l.rng))
}

// TestBounce: the same frame again within the bounce time is the bounce of the
// button, later it is a new reading.
func TestBounce(t *testing.T) {
	t.Parallel()
	pressed := *brisk
	pressed.bounce = gauge.BounceTime
	onLines(t, 4, each(&pressed), func(l *line, _ int) {
		frame := l.format.frame(l.rng)
		for range 3 {
			l.write(append(frame, frame...))
			l.stretch = append(l.stretch, frame...)
			l.refused++
			l.settle()
			time.Sleep(gauge.BounceTime)
		}
		l.say(l.format.frame(l.rng))
		l.say(frame) // at once, but not the same as the one before
		l.settle()
		l.mu.Lock()
		defer l.mu.Unlock()
		if l.rejected[gauge.ReasonRepeated] != l.refused {
			l.fatalf("%d bounces gave %v", l.refused, l.rejected)
		}
	})
}

// TestStaleBytes: what was in the port before it was opened is not delivered,
// nor is anything made of it and what follows.
func TestStaleBytes(t *testing.T) {
	t.Parallel()
	onLines(t, 15, each(patient, bare, brisk, gapped, bits), func(l *line, _ int) { l.stale() })
}

func (l *line) stale() {
	l.say(l.format.frame(l.rng))
	l.hangUp()
	frame := l.format.frame(l.rng)
	cut := l.rng.IntN(len(frame))
	l.plug(func(string) {
		l.write(append(l.format.frames(l.rng, 2), frame[:cut]...))
		l.arrived()
	})
	l.say(frame[cut:])
	l.say(l.format.frame(l.rng))
	l.say(l.format.frame(l.rng))
}
