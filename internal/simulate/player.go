package simulate

import (
	"bytes"
	"context"
	"hash/fnv"
	"math/rand/v2"
	"path/filepath"
	"sync"
	"time"

	"gauged/internal/gauge"
)

// player is one simulated gauge with its line.
type player struct {
	Gauge
	line *Line

	mu     sync.Mutex // guards what follows
	random *rand.Rand
	motion motion       // none while the shaft is still
	offset gauge.Length // the scatter of the present contact
	wear   wear

	stop func() // ends the goroutine of a plugged gauge and waits for it; nil while unplugged
}

func newPlayer(dir string, g Gauge) *player {
	name := fnv.New64a()
	name.Write([]byte(g.Name))
	p := &player{Gauge: g, line: NewLine(filepath.Join(dir, g.Name)), random: rand.New(rand.NewPCG(g.Seed, name.Sum64()))}
	p.offset = p.within(g.Scatter)
	p.wear = wear{from: g.Value, rising: true}
	return p
}

// plug makes the line and starts what the gauge does by itself.
func (p *player) plug() error {
	if err := p.line.Plug(); err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() {
		defer close(done)
		switch p.Mode {
		case gauge.ModeStream:
			p.stream(ctx)
		case gauge.ModePoll:
			p.answer()
		}
	}()
	p.stop = func() { cancel(); <-done }
	return nil
}

func (p *player) unplug() error {
	if err := p.line.Unplug(); err != nil {
		return err
	}
	p.stop()
	p.stop = nil
	return nil
}

// stream sends a frame when it is due. Frames that a busy machine has held up follow at
// once: a gauge has a clock of its own.
func (p *player) stream(ctx context.Context) {
	for due := time.Now().Add(p.Every); ; due = due.Add(p.Every) {
		if sleepUntil(ctx, due) != nil || p.show(due) != nil {
			return // the line is gone
		}
	}
}

// answer sends a frame for each request until the line is gone.
func (p *player) answer() {
	request := p.Layout.RequestTo("")
	var held []byte
	buf := make([]byte, 256)
	for {
		n, err := p.line.Read(buf)
		if err != nil {
			return
		}
		held = append(held, buf[:n]...)
		for {
			_, rest, asked := bytes.Cut(held, request)
			if !asked {
				break
			}
			held = rest
			if p.show(time.Now()) != nil {
				return
			}
		}
		if extra := len(held) - len(request); extra > 0 {
			held = held[extra:]
		}
	}
}

// show sends the value of a moment once.
func (p *player) show(at time.Time) error {
	frame, err := p.frame(at)
	if err != nil || frame == nil {
		return err
	}
	_, err = p.line.Write(frame)
	return err
}

// press takes the gauge off and on again and sends the value.
func (p *player) press() error {
	p.mu.Lock()
	p.offset = p.within(p.Scatter)
	p.mu.Unlock()
	return p.show(time.Now())
}

// set changes what is really there. It must be a value that the layout can write.
func (p *player) set(text string) error {
	value, err := gauge.ParseLength(text, p.Unit)
	if err != nil {
		return err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if err := p.writes(value); err != nil {
		return err
	}
	p.wear.moved(value, p.step())
	p.wear.lost += p.Faults.Missed
	p.Value, p.motion, p.offset = value, motion{}, p.within(p.Scatter)
	return nil
}

// frame is what the gauge sends at a moment; nil when the frame is lost.
func (p *player) frame(when time.Time) ([]byte, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	at := p.position(when)
	p.wear.moved(at, p.step())
	shown := rounded(p.altered(at+p.offset+p.within(p.Noise)+p.within(p.Faults.Noise)), p.Unit, p.Decimals)
	shown = p.wear.sticks(shown, p.Faults.Stuck)
	switch {
	case p.chance(p.Faults.Lost):
		return nil, nil
	case p.chance(p.Faults.Battery):
		return p.Layout.EncodeLowBattery(shown, p.Unit, p.Decimals)
	}
	return p.Layout.Encode(shown, p.Unit, p.Decimals, "")
}

// chance comes true so many times of a hundred.
func (p *player) chance(percent int) bool { return percent > 0 && p.random.IntN(100) < percent }

// within returns a length between -half and +half.
func (p *player) within(half gauge.Length) gauge.Length {
	if half == 0 {
		return 0
	}
	return gauge.Length(p.random.Int64N(2*int64(half)+1)) - half
}
