package exits

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
)

// TestInOrder: events come in the order of the history, each until it is taken; what is none
// does not come, and neither does what was stored before there was an exit.
func TestInOrder(t *testing.T) {
	r := newRig(t)
	r.happens(3)
	r.comes(2, nil)
	r.comes(4, errRefused)
	s := r.status(func(s Status) bool { return s.Failures == 1 })
	if s.After != 3 || s.Behind != 3 || !s.Waiting.Equal(morning) || !s.Failing.Equal(morning) {
		t.Errorf("after the failure: %+v", s)
	}
	r.later(time.Second)
	r.comes(4, errRefused)
	r.later(time.Second)
	r.comes(4, nil)
	r.comes(6, nil)
	s = r.status(func(s Status) bool { return s.Behind == 0 && s.Waiting.IsZero() })
	if s.Delivered != 3 || s.Failed != 2 || s.Failures != 0 || s.Dead != 0 {
		t.Errorf("at the end: %+v", s)
	}
	r.happens(1)
	r.comes(8, nil)
}

// TestGoesOnAfterAStart: an exit goes on where it was, also in the middle of a letter, which
// then comes again; one that changed its settings too, and one of another name begins anew.
func TestGoesOnAfterAStart(t *testing.T) {
	r := newRig(t)
	r.happens(3)
	r.comes(2, nil)
	<-r.got // letter 4, which is never answered
	r.stop()
	r.happens(1)
	r.start()
	r.comes(4, nil)
	<-r.got // letter 6
	r.x.Set(t.Context(), r.definition("second"))
	r.comes(6, nil)
	r.comes(8, nil)
	other := r.definition("third")
	other[0].ID = "other"
	r.x.Set(t.Context(), other)
	r.happens(1)
	r.comes(10, nil)
	if all := r.x.All(); len(all) != 1 || all[0].ID != "other" {
		t.Errorf("%+v", all)
	}
	r.x.Set(t.Context(), nil)
	r.happens(1)
	r.x.Set(t.Context(), r.definition("second")) // its place is kept as long as the history
	r.comes(10, nil)
	r.comes(12, nil)
}

// TestPause: a paused exit sends nothing, keeps its place over a restart, and goes on there.
func TestPause(t *testing.T) {
	r := newRig(t)
	r.happens(2)
	<-r.got
	if s, err := r.x.Pause(t.Context(), "shop", "Ada"); err != nil || s.PausedBy != "Ada" || !s.Paused.Equal(morning) {
		t.Errorf("%+v, %v", s, err)
	}
	r.next <- nil // what was under way is taken
	r.status(func(s Status) bool { return s.After == 2 })
	r.stop()
	r.start()
	if s := r.x.All()[0]; s.After != 2 || s.PausedBy != "Ada" {
		t.Errorf("after a start: %+v", s)
	}
	r.later(time.Hour)
	if s, err := r.x.Resume(t.Context(), "shop", "Ben"); err != nil || !s.Paused.IsZero() || s.PausedBy != "" {
		t.Errorf("%+v, %v", s, err)
	}
	r.comes(4, nil)
	if _, err := r.x.Pause(t.Context(), "shpo", "Ada"); !errors.Is(err, gauge.ErrNotFound) {
		t.Errorf("an exit that there is not: %v", err)
	}
}

// TestGone: a receiver that wants nothing any more gets nothing until somebody resumes, and
// that is a trouble at once.
func TestGone(t *testing.T) {
	r := newRig(t)
	r.happens(1)
	r.comes(2, goneError{})
	s := r.status(func(s Status) bool { return !s.Paused.IsZero() })
	if s.PausedBy != "" || s.After != 1 || !s.Retry.IsZero() {
		t.Errorf("%+v", s)
	}
	if got := r.x.Troubles(); len(got) != 1 || got[0].Code != "trouble.exit.gone" {
		t.Errorf("troubles: %v", got)
	}
	if _, err := r.x.Resume(t.Context(), "shop", "Ada"); err != nil {
		t.Fatal(err)
	}
	r.comes(2, nil)
	r.status(func(s Status) bool { return s.Delivered == 1 })
	if got := r.x.Troubles(); len(got) != 0 {
		t.Errorf("troubles afterwards: %v", got)
	}
}

// TestDeadLetters: what is not taken for days is given up, kept, and sent again when somebody
// asks for it; then the rest waits behind it.
func TestDeadLetters(t *testing.T) {
	r := newRig(t)
	r.happens(3)
	r.comes(2, errRefused)
	r.status(func(s Status) bool { return s.Failures == 1 })
	r.later(14 * time.Minute)
	if got := r.x.Troubles(); len(got) != 0 {
		t.Errorf("troubles after a quarter of an hour: %v", got)
	}
	r.later(threeDays)
	if got := r.x.Troubles(); len(got) != 1 || got[0].Code != "trouble.exit.behind" {
		t.Errorf("troubles: %v", got)
	}
	r.comes(2, errRefused)
	r.status(func(s Status) bool { return s.Dead == 1 })
	r.later(time.Second)
	r.comes(4, errRefused)
	r.status(func(s Status) bool { return s.Dead == 2 })
	r.later(time.Second)
	r.comes(6, nil)
	r.status(func(s Status) bool { return s.Behind == 0 })
	letters, err := r.x.Letters(t.Context(), "shop", 0, 10)
	want := []Dead{
		{Seq: 2, Event: gauge.EventGauge, Time: morning, GivenUp: morning.Add(14*time.Minute + threeDays), Why: gauge.Told(errRefused)},
		{Seq: 4, Event: gauge.EventGauge, Time: morning, GivenUp: morning.Add(14*time.Minute + threeDays + time.Second), Why: gauge.Told(errRefused)},
	}
	if diff := cmp.Diff(want, letters); diff != "" || err != nil {
		t.Error(diff, err)
	}
	if _, err := r.x.SendAgain(t.Context(), "shop", []uint64{2, 3}, "Ada"); !errors.Is(err, gauge.ErrNotFound) {
		t.Errorf("a letter that is not dead: %v", err)
	}
	if n, err := r.x.SendAgain(t.Context(), "shop", nil, "Ada"); n != 2 || err != nil {
		t.Fatalf("%d letters, %v", n, err)
	}
	r.comes(2, errRefused) // then letter 4 is not tried
	r.status(func(s Status) bool { return s.Failed == 4 })
	r.happens(1)
	r.comes(8, nil)
	r.stop()
	r.start() // what died is dead after a start too
	if n, err := r.x.SendAgain(t.Context(), "shop", []uint64{4}, "Ada"); n != 1 || err != nil {
		t.Fatalf("%d letters, %v", n, err)
	}
	r.comes(4, nil)
	r.status(func(s Status) bool { return s.Dead == 1 })
	if letters, err = r.x.Letters(t.Context(), "shop", 0, 10); len(letters) != 1 || letters[0].Seq != 2 || err != nil {
		t.Errorf("left: %v, %v", letters, err)
	}
}

// TestPlaceThatCannotBeKept: while the place cannot be kept nothing more is handed on, so that
// what comes twice does not grow; that is told, and it goes on by itself.
func TestPlaceThatCannotBeKept(t *testing.T) {
	r := newRig(t)
	r.happens(2)
	r.store.set(true)
	r.comes(2, nil)
	<-r.store.failed
	s := r.status(func(s Status) bool { return !s.NotKept.IsZero() })
	if s.After != 2 || s.Failures != 0 {
		t.Errorf("%+v", s)
	}
	if got := r.x.Troubles(); len(got) != 1 || got[0].Code != "trouble.exit.not-kept" {
		t.Errorf("troubles: %v", got)
	}
	if _, err := r.x.Pause(t.Context(), "shop", "Ada"); !errors.Is(err, gauge.ErrRefused) || !r.x.All()[0].Paused.IsZero() {
		t.Errorf("a pause that cannot be kept: %v", err)
	}
	r.later(time.Second)
	<-r.store.failed
	select {
	case id := <-r.got:
		t.Errorf("%s came though the place of what came before is not kept", id)
	default:
	}
	r.store.set(false)
	r.later(time.Second)
	go func() { // the clock of the test does not run by itself
		for !r.x.All()[0].NotKept.IsZero() {
			r.later(time.Second)
		}
	}()
	r.comes(4, nil)
}

// TestFarBehind: an exit that is further behind than what is kept in memory reads the history,
// passes what it does not hand on, and keeps its place on the way.
func TestFarBehind(t *testing.T) {
	r := newRig(t)
	r.happens(1)
	<-r.got // letter 2 is under way while much is stored
	const many = 40_000
	for range many / 1000 {
		var facts []gauge.Fact
		for i := range uint64(1000) {
			facts = append(facts, gauge.Fact{Seq: r.tail.Newest() + 1 + i, Reject: &gauge.Reject{Gauge: "dial", Time: r.clock(), Reason: gauge.ReasonNoise}})
		}
		if err := r.store.append(t.Context(), facts); err != nil {
			t.Fatal(err)
		}
		r.tail.Add(facts)
	}
	r.next <- nil
	r.status(func(s Status) bool { return s.Behind == 0 })
	e, known, err := r.store.Exit(t.Context(), "shop")
	if err != nil || !known || e.After < many-passedUnkept {
		t.Errorf("of %d facts that were passed the place behind %d is kept, %v", many, e.After, err)
	}
	r.happens(1)
	r.comes(many+4, nil)
}
