package mqtt

import (
	"context"
	"sync"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/retry"
)

// live follows what happens and hands on of each gauge the newest: how it stands, and its
// readings, thinned. What it holds grows with the gauges alone.
type live struct {
	o     Options
	write letter.Write
	wake  chan struct{}
	end   context.CancelFunc
	ended sync.WaitGroup

	mu       sync.Mutex // guards what follows
	link     *link      // nil: there is no connection
	states   map[string]gauge.Fact
	told     map[string]gauge.Fact // of states, on this connection
	readings *thinning
	count    func(func(*letter.Readings))
}

// follow begins to follow. States are told at each connection, also those that came before.
func follow(o Options, count func(func(*letter.Readings))) *live {
	ctx, cancel := context.WithCancel(context.Background())
	l := &live{
		o: o, write: o.Writer(), wake: make(chan struct{}, 1), end: cancel,
		states: map[string]gauge.Fact{}, readings: newThinning(o.Broker.Every), count: count,
	}
	after := o.History.Newest()
	for _, f := range o.States() {
		l.states[f.State.Gauge] = f
	}
	l.ended.Go(func() { l.listen(ctx, after) })
	l.ended.Go(func() { l.run(ctx) })
	return l
}

// stop ends it, and waits until it has.
func (l *live) stop() {
	l.end()
	l.ended.Wait()
}

// over has it hand on over a connection; nil: over none.
func (l *live) over(k *link) {
	l.mu.Lock()
	l.link, l.told = k, map[string]gauge.Fact{}
	l.mu.Unlock()
	l.wakes()
}

func (l *live) wakes() {
	select {
	case l.wake <- struct{}{}:
	default:
	}
}

// listen takes up what happens. It never waits for the broker.
func (l *live) listen(ctx context.Context, after uint64) {
	cursor := l.o.History.Watch(after)
	for ctx.Err() == nil {
		page, err := cursor.Next(ctx)
		if err != nil {
			now := time.Now()
			retry.Rest(ctx, nil, now.Add(unreadable), now)
			continue
		}
		l.mu.Lock()
		for _, f := range page.Facts {
			l.takes(f)
		}
		l.mu.Unlock()
		l.wakes()
	}
}

// takes takes up a fact; l.mu is held.
func (l *live) takes(f gauge.Fact) {
	switch {
	case f.State != nil:
		l.states[f.State.Gauge] = f
	case f.Reading != nil && l.o.Broker.Every > 0 && l.readings.came(f):
		if l.link == nil {
			l.count(func(r *letter.Readings) { r.Away++ })
		} else {
			l.count(func(r *letter.Readings) { r.Thinned++ })
		}
	}
}

// run hands on what is due, one message at a time.
func (l *live) run(ctx context.Context) {
	for ctx.Err() == nil {
		k, f, next := l.due()
		if k == nil {
			retry.Rest(ctx, l.wake, next, time.Now())
			continue
		}
		l.brought(ctx, k, f, l.bring(ctx, k, f))
	}
}

// due is what is handed on now; without a connection or such a fact, when to look again.
func (l *live) due() (k *link, f gauge.Fact, next time.Time) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.link == nil {
		return nil, f, next
	}
	for id, f := range l.states {
		if told, ok := l.told[id]; !ok || told.State != f.State {
			return l.link, f, next
		}
	}
	if f, next = l.readings.due(time.Now()); f.Reading == nil {
		return nil, f, next
	}
	return l.link, f, next
}

func (l *live) bring(ctx context.Context, k *link, f gauge.Fact) error {
	letter, err := l.write(ctx, f)
	if err != nil {
		return err
	}
	return k.publish(ctx, messageOf(l.o.Broker, letter))
}

// brought takes up what came of a message. What was lost with the connection comes over the
// next one, unless something newer is there by then; what the broker does not take does not.
func (l *live) brought(ctx context.Context, k *link, f gauge.Fact, err error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	lost := k.lostBecause() != nil || ctx.Err() != nil
	if lost && l.link == k {
		l.link = nil
	}
	switch {
	case f.State != nil:
		if !lost {
			l.told[f.State.Gauge] = f
		}
	case err == nil:
		l.count(func(r *letter.Readings) { r.Taken++ })
	case !lost:
		l.count(func(r *letter.Readings) { r.Refused++ })
	case !l.readings.back(f):
		l.count(func(r *letter.Readings) { r.Away++ })
	}
	if err != nil && !lost {
		l.o.Log.Warn("the broker of an exit did not take a message of a gauge; it is left out", "exit", l.o.Broker.ID, "gauge", about(f), "err", err)
	}
}
