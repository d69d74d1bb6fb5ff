package station

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/signs"
)

// healthy is a gauge without a fault, and with its history.
func healthy() *looker { return failing{Rand: rand.New(rand.NewPCG(1, 50))}.looker() }

// sign is what a look says of one kind.
func sign(t *testing.T, l *looker, kind signs.Kind) Sign {
	t.Helper()
	l.signs = nil
	for _, s := range l.look() {
		if s.Kind == kind {
			return s
		}
	}
	t.Fatalf("nothing is said of %s", kind)
	return Sign{}
}

// TestEveryKindIsNamed: of each kind a look says something, also of a gauge of which nothing is known.
func TestEveryKindIsNamed(t *testing.T) {
	kinds := append(slices.Clone(needStep), signs.LowBattery, signs.LostFrames, signs.WrongUnit)
	step := micron
	for name, l := range map[string]*looker{
		"new": {gauge: GaugeInfo{Mode: gauge.ModeStream, Ability: gauge.Ability{Resolution: &step}}}, "of unknown step": {gauge: GaugeInfo{Mode: gauge.ModeStream}}, "known": healthy(),
	} {
		for _, kind := range kinds {
			if s := sign(t, l, kind); s.Found || (s.Refused == "") != (name == "known") {
				t.Errorf("%s of a gauge that is %s: %+v", kind, name, s)
			}
		}
		if len(l.signs) != len(kinds) {
			t.Errorf("a gauge that is %s has %d signs of %d", name, len(l.signs), len(kinds))
		}
	}
	if s := sign(t, &looker{}, signs.Noise); s.Refused != "the step of its display is not stated: write resolution in the configuration" {
		t.Errorf("got %q", s.Refused)
	}
}

// TestBatteryWasChanged: the flags of the old battery are forgotten when a hundred readings have none.
func TestBatteryWasChanged(t *testing.T) {
	l := healthy()
	for i := range l.facts {
		l.facts[i].Reading.Status = gauge.StatusOK
	}
	last := len(l.facts) - 1
	flag := func(from, to int) {
		for i := from; i < to; i++ {
			l.facts[i].Reading.Status = gauge.StatusLowBattery
		}
	}
	flag(last-300, last-100)
	if s := sign(t, l, signs.LowBattery); s.Found {
		t.Errorf("a hundred readings ago: %+v", s)
	}
	flag(last-99, last-98)
	if s := sign(t, l, signs.LowBattery); !s.Found {
		t.Error("flags that have not ended are not found")
	}
}

// TestFramesHeldUp: a busy computer takes frames late and several at once, which loses none.
func TestFramesHeldUp(t *testing.T) {
	const every = 20 * time.Millisecond
	arrive := func(held func(frame int) time.Duration) Sign {
		l := healthy()
		l.rejects = 0
		for i := range l.facts {
			l.facts[i].Reading.Time = signBegan.Add(time.Duration(i)*every + held(i))
		}
		return sign(t, l, signs.LostFrames)
	}
	if s := arrive(func(i int) time.Duration {
		if late := i % 500; late < 20 { // twice for 0.4 s, until the twentieth frame
			return time.Duration(20-late) * every
		}
		return 0
	}); s.Found || s.Refused != "" {
		t.Errorf("held up twice: %+v", s)
	}
	if s := arrive(func(i int) time.Duration { return time.Duration(4-i%5) * every }); s.Refused != "its frames arrive in bursts, which hides the time between them" {
		t.Errorf("by fives: %+v", s)
	}
	if s := arrive(func(i int) time.Duration { return time.Duration(i/50) * every }); !s.Found {
		t.Errorf("one in fifty lost: %+v", s)
	}
}

// TestWrongUnitForLong: what the procedure says outweighs what the jobs have in common, and another
// gauge's readings say nothing of this one.
func TestWrongUnitForLong(t *testing.T) {
	l := healthy()
	inches := []gauge.Length{98 * micron}
	for i := range l.jobs {
		l.jobs[i].values, l.jobs[i].own = map[string][]gauge.Length{"height": inches}, map[string][]gauge.Length{"height": inches}
	}
	if s := sign(t, l, signs.WrongUnit); !s.Found {
		t.Errorf("in all jobs: %+v", s)
	}
	l = healthy()
	last := &l.jobs[len(l.jobs)-1]
	last.values = map[string][]gauge.Length{"height": slices.Concat(inches, inches, last.own["height"][:1])}
	last.own = map[string][]gauge.Length{"height": last.own["height"][:1]}
	if s := sign(t, l, signs.WrongUnit); s.Found {
		t.Errorf("another gauge showed inches: %+v", s)
	}
}

// TestWrongUnitAtAMaster: a check at a master that is not zero tells the unit without any job.
func TestWrongUnitAtAMaster(t *testing.T) {
	for shown, want := range map[gauge.Length]bool{2000 * micron: false, 79 * micron: true, 50_800 * micron: true, 1000 * micron: false} {
		l := healthy()
		l.jobs = nil
		block := check.Point{Master: check.Master{ID: "block", Value: 2000 * micron}, Readings: []gauge.Length{shown, shown}}
		l.checks = append(l.checks, failing{}.record(l.gauge.Ability, 50, block))
		if s := sign(t, l, signs.WrongUnit); s.Found != want || s.Refused != "" {
			t.Errorf("%d pm at 2 mm: %+v", shown, s)
		}
	}
}

// TestHysteresisWasRepaired: what was found before the gauge was adjusted is over.
func TestHysteresisWasRepaired(t *testing.T) {
	l := failing{Rand: rand.New(rand.NewPCG(1, 50)), hysteresis: 10}.looker()
	if s := sign(t, l, signs.Hysteresis); !s.Found {
		t.Fatalf("%+v", s)
	}
	good := failing{Rand: rand.New(rand.NewPCG(2, 50))}
	adjusted := good.check(l.gauge.Ability, 40)
	adjusted.Left, adjusted.PointsLeft = &adjusted.Result, adjusted.Points
	l.checks = append(l.checks, adjusted)
	for i := range 4 {
		l.checks = append(l.checks, good.check(l.gauge.Ability, 41+i))
	}
	if s := sign(t, l, signs.Hysteresis); s.Found || s.Refused != "" {
		t.Errorf("%+v", s)
	}
}

// TestChecksAmongZeroReturns: many zero returns do not push the checks out of sight.
func TestChecksAmongZeroReturns(t *testing.T) {
	r := newRig(t)
	r.Station.mu.Lock()
	step := micron
	r.Station.gauges["clock"].Ability.Resolution = &step
	r.Station.mu.Unlock()
	for i := range 4 {
		up, down := r.at("clock", "block", fmt.Sprintf("25.00%d", i%2)), r.at("clock", "block", fmt.Sprintf("25.02%d", i%2))
		down.Falling = true
		r.check("clock", up, down)
	}
	for i := range 50 {
		zero := r.at("clock", "zero", fmt.Sprintf("0.%03d", i%2)).Readings[0]
		if _, err := r.RecordZeroReturn(t.Context(), ZeroRequest{Gauge: "clock", By: "test", Reading: zero}); err != nil {
			t.Fatal(err)
		}
	}
	looked, err := r.Signs(t.Context(), "clock")
	if err != nil {
		t.Fatal(err)
	}
	if i := slices.IndexFunc(looked, func(s Sign) bool { return s.Kind == signs.Hysteresis }); i < 0 || !looked[i].Found {
		t.Errorf("the checks show no hysteresis: %+v", looked)
	}
}
