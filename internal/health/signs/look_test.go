package signs

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
)

// wholesome is a gauge without a fault, and with its history.
func wholesome() *looker { return failing{Rand: rand.New(rand.NewPCG(1, 50))}.looker() }

// sign is what a look says of one kind.
func sign(t *testing.T, l *looker, kind Kind) Sign {
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
	kinds := append(slices.Clone(needStep), LowBattery, LostFrames, WrongUnit)
	step := micron
	for name, l := range map[string]*looker{
		"new": {History: History{Gauge: Gauge{Mode: gauge.ModeStream, Ability: gauge.Ability{Resolution: &step}}}}, "of unknown step": {History: History{Gauge: Gauge{Mode: gauge.ModeStream}}}, "known": wholesome(),
	} {
		for _, kind := range kinds {
			if s := sign(t, l, kind); s.Found || s.Refused.IsZero() != (name == "known") {
				t.Errorf("%s of a gauge that is %s: %+v", kind, name, s)
			}
		}
		if len(l.signs) != len(kinds) {
			t.Errorf("a gauge that is %s has %d signs of %d", name, len(l.signs), len(kinds))
		}
	}
	if s := sign(t, &looker{}, Noise); told(s.Refused) != "the resolution is not stated: write resolution in the configuration" {
		t.Errorf("got %q", s.Refused)
	}
}

// TestBatteryWasChanged: the flags of the old battery are forgotten when a hundred readings have none.
func TestBatteryWasChanged(t *testing.T) {
	l := wholesome()
	for i := range l.Readings {
		l.Readings[i].Status = gauge.StatusOK
	}
	last := len(l.Readings) - 1
	flag := func(from, to int) {
		for i := from; i < to; i++ {
			l.Readings[i].Status = gauge.StatusLowBattery
		}
	}
	flag(last-300, last-100)
	if s := sign(t, l, LowBattery); s.Found {
		t.Errorf("a hundred readings ago: %+v", s)
	}
	flag(last-99, last-98)
	if s := sign(t, l, LowBattery); !s.Found {
		t.Error("flags that have not ended are not found")
	}
}

// TestFramesHeldUp: a busy computer takes frames late and several at once, which loses none.
func TestFramesHeldUp(t *testing.T) {
	const every = 20 * time.Millisecond
	arrive := func(held func(frame int) time.Duration) Sign {
		l := wholesome()
		l.Rejects = 0
		for i := range l.Readings {
			l.Readings[i].Time = signBegan.Add(time.Duration(i)*every + held(i))
		}
		return sign(t, l, LostFrames)
	}
	if s := arrive(func(i int) time.Duration {
		if late := i % 500; late < 20 { // twice for 0.4 s, until the twentieth frame
			return time.Duration(20-late) * every
		}
		return 0
	}); s.Found || !s.Refused.IsZero() {
		t.Errorf("held up twice: %+v", s)
	}
	if s := arrive(func(i int) time.Duration { return time.Duration(4-i%5) * every }); told(s.Refused) != "its messages arrive in bursts, which hides the time between them" {
		t.Errorf("by fives: %+v", s)
	}
	if s := arrive(func(i int) time.Duration { return time.Duration(i/50) * every }); !s.Found {
		t.Errorf("one in fifty lost: %+v", s)
	}
}

// TestWrongUnitForLong: what the procedure says outweighs what the jobs have in common, and another
// gauge's readings say nothing of this one.
func TestWrongUnitForLong(t *testing.T) {
	l := wholesome()
	inches := []gauge.Length{98 * micron}
	for i := range l.Jobs {
		l.Jobs[i].Values, l.Jobs[i].Own = map[string][]gauge.Length{"height": inches}, map[string][]gauge.Length{"height": inches}
	}
	if s := sign(t, l, WrongUnit); !s.Found {
		t.Errorf("in all jobs: %+v", s)
	}
	l = wholesome()
	last := &l.Jobs[len(l.Jobs)-1]
	last.Values = map[string][]gauge.Length{"height": slices.Concat(inches, inches, last.Own["height"][:1])}
	last.Own = map[string][]gauge.Length{"height": last.Own["height"][:1]}
	if s := sign(t, l, WrongUnit); s.Found {
		t.Errorf("another gauge showed inches: %+v", s)
	}
}

// TestWrongUnitAtAMaster: a check at a master that is not zero tells the unit without any job.
func TestWrongUnitAtAMaster(t *testing.T) {
	for shown, want := range map[gauge.Length]bool{2000 * micron: false, 79 * micron: true, 50_800 * micron: true, 1000 * micron: false} {
		l := wholesome()
		l.Jobs = nil
		block := check.Point{Master: check.Master{ID: "block", Value: 2000 * micron}, Readings: []gauge.Length{shown, shown}}
		l.Checks = append(l.Checks, failing{}.record(l.Gauge.Ability, 50, block))
		if s := sign(t, l, WrongUnit); s.Found != want || !s.Refused.IsZero() {
			t.Errorf("%d pm at 2 mm: %+v", shown, s)
		}
	}
}

// TestHysteresisWasRepaired: what was found before the gauge was adjusted is over.
func TestHysteresisWasRepaired(t *testing.T) {
	l := failing{Rand: rand.New(rand.NewPCG(1, 50)), hysteresis: 10}.looker()
	if s := sign(t, l, Hysteresis); !s.Found {
		t.Fatalf("%+v", s)
	}
	good := failing{Rand: rand.New(rand.NewPCG(2, 50))}
	adjusted := good.check(l.Gauge.Ability, 40)
	adjusted.Left, adjusted.PointsLeft = &adjusted.Result, adjusted.Points
	l.Checks = append(l.Checks, adjusted)
	for i := range 4 {
		l.Checks = append(l.Checks, good.check(l.Gauge.Ability, 41+i))
	}
	if s := sign(t, l, Hysteresis); s.Found || !s.Refused.IsZero() {
		t.Errorf("%+v", s)
	}
}
