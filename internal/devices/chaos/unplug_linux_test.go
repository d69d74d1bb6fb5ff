package chaos_test

import "testing"

// TestUnplugAtEveryByte hangs the line up after each byte of a stream of
// frames, plugs it in under another port, and goes on where the stream was.
func TestUnplugAtEveryByte(t *testing.T) {
	t.Parallel()
	type place struct {
		format *format
		at     int
	}
	var places []place
	for _, f := range []*format{patient, bare, brisk, gapped, bits} {
		longest := f.longest + len(f.end)
		if f.end != "" {
			longest = 2 * len(f.frame(dice(t, 0))) // the formats with an end vary by a few bytes
		}
		for at := range longest + 1 {
			places = append(places, place{f, at})
		}
	}
	pick := func(id int) *format { return places[id].format }
	onLines(t, len(places), pick, func(l *line, id int) { l.unplugAt(places[id].at) })
}

// unplugAt sends frames and pulls the plug after so many bytes of them.
func (l *line) unplugAt(at int) {
	l.say(l.format.frame(l.rng))
	frame := l.format.frame(l.rng)
	for at >= len(frame) && len(frame) > 0 {
		l.say(frame)
		at -= len(frame)
		frame = l.format.frame(l.rng)
	}
	l.send(frame[:at])
	l.hangUp()
	l.plug(nil)
	if rest := frame[at:]; len(rest) > 0 {
		l.say(rest)
	}
	l.say(l.format.frame(l.rng))
	l.say(l.format.frame(l.rng))
}

// unplug pulls the plug somewhere in a frame.
func (l *line) unplug() { l.unplugAt(l.rng.IntN(2 * len(l.format.frame(l.rng)))) }
