package simulate

import (
	"math"
	"strconv"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// How a simulated hand moves a shaft.
const (
	restTime   = 800 * time.Millisecond // at a stop
	travelTime = 300 * time.Millisecond // from stop to stop
	turnTime   = 4 * time.Second
)

// motion is where the shaft is, as a function of the time since it began.
type motion struct {
	began time.Time
	at    func(time.Duration) gauge.Length
	lasts time.Duration
}

// rocking pushes a shaft from one stop to the other and back, so many times.
func rocking(from, to gauge.Length, times int) motion {
	leg := restTime + travelTime
	at := func(t time.Duration) gauge.Length {
		a, b := from, to
		if n := int(t / leg); n%2 == 1 {
			a, b = to, from
		}
		travelled := max(t%leg-restTime, 0)
		return a + (b-a)*gauge.Length(travelled)/gauge.Length(travelTime)
	}
	return motion{at: at, lasts: time.Duration(2*times) * leg}
}

// turning is one turn of a shaft whose indicator rises by the runout and comes
// back.
func turning(from, runout gauge.Length) motion {
	at := func(t time.Duration) gauge.Length {
		return from + gauge.Length(float64(runout)*(1-math.Cos(2*math.Pi*t.Seconds()/turnTime.Seconds()))/2)
	}
	return motion{at: at, lasts: turnTime}
}

// position is where the shaft is at a moment. A motion that is over leaves it where it ended.
func (p *player) position(when time.Time) gauge.Length {
	if p.motion.at == nil {
		return p.Value
	}
	t := max(when.Sub(p.motion.began), 0)
	if t < p.motion.lasts {
		return p.motion.at(t)
	}
	p.Value, p.motion = p.motion.at(p.motion.lasts), motion{}
	return p.Value
}

// begin starts a motion between two places that the layout must be able to write.
func (p *player) begin(m motion, places ...gauge.Length) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, l := range places {
		if err := p.writes(l); err != nil {
			return err
		}
	}
	p.wear.lost += p.Faults.Missed
	m.began = time.Now()
	p.motion, p.offset = m, 0
	return nil
}

// Rock pushes the shaft under an indicator from one stop to the other and back,
// so many times: decimals in the gauge's unit.
func (b *Bench) Rock(name, from, to, times string) error {
	return b.with(name, func(p *player) error {
		n, err := strconv.Atoi(times)
		if err != nil || n < 1 || n > 100 {
			return gauge.WrongInput("simulate.times", shopfile.Quoted("text", times))
		}
		a, err := gauge.ParseLength(from, p.Unit)
		if err != nil {
			return err
		}
		z, err := gauge.ParseLength(to, p.Unit)
		if err != nil {
			return err
		}
		return p.begin(rocking(a, z, n), a, z)
	})
}

// Turn turns the shaft under an indicator once; the reading rises by the runout
// and comes back.
func (b *Bench) Turn(name, runout string) error {
	return b.with(name, func(p *player) error {
		by, err := gauge.ParseLength(runout, p.Unit)
		if err != nil {
			return err
		}
		p.mu.Lock()
		from := p.position(time.Now())
		p.mu.Unlock()
		return p.begin(turning(from, by), from, from+by)
	})
}
