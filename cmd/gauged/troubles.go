package main

import (
	"context"
	"log/slog"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// How often the troubles of a history are looked for, and said again while they last.
const (
	lookForTroubles = time.Second
	sayTroubles     = time.Minute
)

// troubles says in the log what is wrong with the history: at once, then each minute, and
// when it is over.
type troubles struct {
	look func() []gauge.Message
	log  *slog.Logger
	said time.Time // zero: nothing is wrong
}

func (t *troubles) run(ctx context.Context) {
	tick := time.NewTicker(lookForTroubles)
	defer tick.Stop()
	for {
		select {
		case now := <-tick.C:
			t.tell(now)
		case <-ctx.Done():
			return
		}
	}
}

func (t *troubles) tell(now time.Time) {
	all := t.look()
	switch {
	case len(all) == 0 && !t.said.IsZero():
		t.log.Info("the history is stored again")
		t.said = time.Time{}
	case len(all) > 0 && now.Sub(t.said) >= sayTroubles:
		for _, m := range all {
			t.log.Error(words.In(words.English).Tell(m))
		}
		t.said = now
	}
}
