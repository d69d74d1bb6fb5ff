package devices

import (
	"os"
	"testing"
	"time"
)

// chatter is a port on which a gauge writes some bytes and falls silent.
type chatter struct {
	Port
	bytes []byte
}

func (c *chatter) Read(p []byte) (int, error) {
	if len(c.bytes) == 0 {
		return 0, os.ErrDeadlineExceeded
	}
	n := copy(p, c.bytes)
	c.bytes = c.bytes[n:]
	return n, nil
}

func (c *chatter) Close() error { return nil }

// TestIdentifyTellsWhatCame: at each setting, odd parity too, what came is told,
// also when no layout explains it.
func TestIdentifyTellsWhatCame(t *testing.T) {
	odd, told := 0, map[Line]string{}
	for _, line := range Lines {
		if line.Parity == ParityOdd {
			odd++
		}
		open := func(Line) (Port, error) { return &chatter{bytes: []byte("D\x80=17;")}, nil }
		found, err := Identify(t.Context(), open, []Line{line}, nil, time.Millisecond, func(Line) {}, func(h Heard) {
			for _, burst := range h {
				told[line] += string(burst)
			}
		})
		if len(found) != 0 || err != nil {
			t.Fatal(found, err)
		}
	}
	if odd == 0 {
		t.Error("odd parity is not tried")
	}
	for _, line := range Lines {
		if told[line] != "D\x80=17;" {
			t.Errorf("%+v: %q", line, told[line])
		}
	}
}

// TestBursts: what came is parted where the line was quiet.
func TestBursts(t *testing.T) {
	at := func(ms int, text string) chunk {
		return chunk{data: []byte(text), at: time.Time{}.Add(time.Duration(ms) * time.Millisecond)}
	}
	h := bursts([]chunk{at(0, ""), at(1, "+1"), at(3, ".2"), at(100, "+1.3"), at(110, ""), at(125, "x")})
	if len(h) != 3 || string(h[0]) != "+1.2" || string(h[1]) != "+1.3" || string(h[2]) != "x" {
		t.Errorf("%q", h)
	}
}
