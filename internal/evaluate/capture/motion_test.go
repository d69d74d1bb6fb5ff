package capture

import (
	"math/rand/v2"
	"testing"
	"time"

	"pgregory.net/rapid"

	"gauged/internal/gauge"
)

const um = gauge.Length(1e6)

// motion makes the readings of a shaft that is pushed to and fro, with what is
// really there known.
type motion struct {
	random     *rand.Rand
	every      time.Duration
	resolution gauge.Length
	noise      gauge.Length // either way
	now        time.Duration
	at         gauge.Length // where the shaft is
	readings   []Reading
	seq        uint64
	silent     bool
}

// show sends the present position.
func (m *motion) show() {
	m.now += m.every
	m.seq++
	if m.silent {
		return
	}
	v := m.at
	if m.noise > 0 {
		v += gauge.Length(m.random.Int64N(2*int64(m.noise)+1)) - m.noise
	}
	half := m.resolution / 2
	if v < 0 {
		half = -half
	}
	m.readings = append(m.readings, Reading{m.seq, m.now, (v + half) / m.resolution * m.resolution})
}

func (m *motion) dwell(d time.Duration) {
	for end := m.now + d; m.now < end; {
		m.show()
	}
}

// move travels to a place in steady motion.
func (m *motion) move(to gauge.Length, d time.Duration) {
	steps := max(int(d/m.every), 1)
	from := m.at
	for i := 1; i <= steps; i++ {
		m.at = from + (to-from)*gauge.Length(i)/gauge.Length(steps)
		if i < steps {
			m.show()
		}
	}
}

// rocking is a drawn motion and the strokes that it truly has.
type rocking struct {
	readings []Reading
	config   Config
	play     gauge.Length
	strokes  int // from stop to stop without a slip between
	misses   int // reversals short of a stop
	dropouts int
	slack    gauge.Length // by how much a right play may be off
}

func drawRocking(t *rapid.T) rocking {
	rate := rapid.IntRange(3, 50).Draw(t, "readings per second")
	m := &motion{
		random: rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)),
		every:  time.Second / time.Duration(rate), resolution: um,
		noise: gauge.Length(rapid.Int64Range(0, 3).Draw(t, "noise")) * um,
	}
	r := rocking{config: Config{Band: 2*m.noise + 2*um}.With(um), slack: 2*m.noise + um}
	r.play = gauge.Length(rapid.Int64Range(120, 900).Draw(t, "play")) * um
	rest := r.config.Quiet + time.Duration(r.config.Count+1)*m.every
	miss := rapid.IntRange(-1, 7).Draw(t, "missed stroke")      // below 0 and above 5: none
	dropout := rapid.IntRange(-1, 7).Draw(t, "dropout")         // likewise
	hang := rapid.IntRange(-1, 7).Draw(t, "hang in mid-travel") // likewise
	m.dwell(2 * rest)
	whole := true // the last turning point was a stop, and nothing was lost since
	for stroke := range 6 {
		target := []gauge.Length{r.play, 0}[stroke%2]
		if stroke == miss {
			target = r.play / 2
		}
		if stroke == hang {
			m.move((m.at+target)/2, rest)
			m.dwell(rapid.SampledFrom([]time.Duration{m.every, rest, 2 * rest}).Draw(t, "hang"))
		}
		if stroke == dropout {
			m.silent = true
			m.dwell(2 * r.config.Gap)
			m.silent = false
			r.dropouts++
			whole = false
		}
		m.move(target, time.Duration(rapid.IntRange(100, 900).Draw(t, "travel ms"))*time.Millisecond)
		m.dwell(rest + time.Duration(rapid.IntRange(0, 500).Draw(t, "dwell ms"))*time.Millisecond)
		switch {
		case stroke == miss:
			if stroke+1 != dropout && stroke != dropout { // else nobody saw where the shaft came from or went
				r.misses++
			}
			whole = false
		case whole:
			r.strokes++
		default:
			whole = true
		}
	}
	m.dwell(3 * r.config.Quiet)
	r.readings = m.readings
	return r
}

// TestEndStopsOnGeneratedMotion: every play is right to within the noise, every
// stroke without a slip is found, none is invented, and every slip is named.
func TestEndStopsOnGeneratedMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRocking(t)
		e := NewEndStops(r.config)
		for _, x := range r.readings {
			e.Step(x)
			if f := e.Found(); len(f.Strokes) > r.strokes {
				t.Fatalf("%d strokes after %s, there are %d: %+v", len(f.Strokes), x.Time, r.strokes, f)
			}
		}
		found := e.Found()
		if len(found.Strokes) != r.strokes {
			t.Fatalf("%d strokes, there are %d: %+v", len(found.Strokes), r.strokes, found)
		}
		for _, s := range found.Strokes {
			if off := (s.Play() - r.play).Abs(); off > r.slack {
				t.Fatalf("play %d um, true is %d um: %+v", s.Play()/um, r.play/um, found)
			}
		}
		count := map[Reason]int{}
		for _, f := range found.Faults {
			count[f.Reason]++
		}
		if count[Dropout] != r.dropouts || count[Short]+count[NoRest] < r.misses {
			t.Fatalf("faults %+v, there were %d misses and %d dropouts", found.Faults, r.misses, r.dropouts)
		}
	})
}

// TestStableOnGeneratedMotion: what is captured is a reading that was shown,
// taken at rest, and within the noise of what is there.
func TestStableOnGeneratedMotion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRocking(t)
		s := NewStable(r.config)
		for i, x := range r.readings {
			got, ok := s.Step(x)
			if !ok {
				continue
			}
			if got.Seq > x.Seq || x.Time-r.readings[0].Time < r.config.Quiet {
				t.Fatalf("captured %+v at %+v", got, x)
			}
			near := 0
			for _, other := range r.readings[max(0, i-held) : i+1] {
				if (other.Value - got.Value).Abs() <= r.config.Band {
					near++
				}
			}
			if near < r.config.Count {
				t.Fatalf("captured %+v, with only %d readings like it", got, near)
			}
		}
	})
}

func TestTurnKeepsTheExtremes(t *testing.T) {
	turn := NewTurn(Config{}.With(um))
	for i, v := range []gauge.Length{0, 3, 5, 5, 1, -2, -1, 0} {
		turn.Step(Reading{Seq: uint64(i + 1), Time: time.Duration(i) * 100 * time.Millisecond, Value: v * um})
	}
	turn.Step(Reading{Seq: 8, Time: 900 * time.Millisecond, Value: 100 * um}) // sent twice
	if turn.Smallest.Seq != 6 || turn.Largest.Seq != 3 || turn.First.Seq != 1 || turn.Last.Seq != 8 || turn.Readings != 8 || turn.Gaps() != 0 {
		t.Errorf("got %+v", turn)
	}
	turn.Step(Reading{Seq: 9, Time: 9 * time.Second})
	if turn.Gaps() != 1 {
		t.Error("a pause of eight seconds was not noticed")
	}
}

// TestStepDoesNotAllocate holds the promise of the package comment.
func TestStepDoesNotAllocate(t *testing.T) {
	e, s, turn := NewEndStops(Config{}.With(um)), NewStable(Config{}.With(um)), NewTurn(Config{}.With(um))
	x := Reading{}
	if n := testing.AllocsPerRun(2000, func() {
		x.Seq++
		x.Time += 50 * time.Millisecond
		if x.Value = 0; x.Seq/20%2 == 0 {
			x.Value = 200 * um
		}
		e.Step(x)
		s.Step(x)
		turn.Step(x)
	}); n != 0 {
		t.Errorf("%g allocations per reading", n)
	}
	if e.n == 0 {
		t.Error("the motion had no turning points")
	}
}

func BenchmarkEndStops(b *testing.B) {
	e := NewEndStops(Config{}.With(um))
	x := Reading{}
	b.ReportAllocs()
	for b.Loop() {
		x.Seq++
		x.Time += 50 * time.Millisecond
		if x.Value = 0; x.Seq/20%2 == 0 {
			x.Value = 200 * um
		}
		if e.Step(x); e.n == mostTurns {
			e.n = 0
		}
	}
}
