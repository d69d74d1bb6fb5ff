package mqtt

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/tail"
)

// History is what is followed.
type History interface {
	Watch(after uint64) *tail.Cursor
	Newest() uint64
}

// Options is what a sender is made from.
type Options struct {
	Broker   Broker
	History  History
	Writer   func() letter.Write
	States   func() []gauge.Fact               // how the gauges stand
	Presence func(online bool) ([]byte, error) // that the station is there, or is there no more
	Log      *slog.Logger
	limits   limits
}

// unreadable is how long to wait after the history could not be read.
const unreadable = time.Second

// Sender brings letters to a broker, one at a time, and hands on besides what is newest of
// each gauge.
type Sender struct {
	o Options

	mu     sync.Mutex // guards what follows
	link   *link      // nil: there is no connection
	live   *live      // nil: nobody follows
	counts letter.Readings
}

// NewSender returns the sender of a broker, which does nothing until it is opened.
func NewSender(o Options) *Sender {
	if o.limits == (limits{}) {
		o.limits = usual
	}
	return &Sender{o: o}
}

// Open comes in at the broker, unless that is so.
func (s *Sender) Open(ctx context.Context) error {
	if k := s.linked(); k != nil {
		why := k.lostBecause()
		if why != nil {
			s.leave(k)
		}
		return why
	}
	online, err := s.o.Presence(true)
	if err != nil {
		return err
	}
	offline, err := s.o.Presence(false)
	if err != nil {
		return err
	}
	l := s.following()
	k, err := connect(ctx, s.o.Broker, s.o.limits, online, offline)
	if err != nil {
		return err
	}
	s.mu.Lock()
	s.link = k
	s.mu.Unlock()
	l.over(k)
	s.o.Log.Info("an exit has come in at its broker", "exit", s.o.Broker.ID, "broker", s.o.Broker.URL)
	return nil
}

// following is who follows the gauges, from the first time on that somebody comes in.
func (s *Sender) following() *live {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.live == nil {
		s.live = follow(s.o, s.count)
	}
	return s.live
}

func (s *Sender) linked() *link {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.link
}

// leave gives a connection up.
func (s *Sender) leave(k *link) {
	s.mu.Lock()
	l := s.live
	s.link = nil
	s.mu.Unlock()
	if l != nil {
		l.over(nil)
	}
	k.end()
}

// Lost is closed when the connection is lost.
func (s *Sender) Lost() <-chan struct{} {
	if k := s.linked(); k != nil {
		return k.lost()
	}
	return nil
}

// Send brings a letter.
func (s *Sender) Send(ctx context.Context, l letter.Letter) error {
	k := s.linked()
	if k == nil { // the next Open comes in
		return letter.Away(gauge.Refused("exit.mqtt-none"))
	}
	err := k.publish(ctx, messageOf(s.o.Broker, l))
	if k.lostBecause() != nil {
		s.leave(k)
	}
	if err != nil && ctx.Err() == nil {
		err = gauge.AsRefused(err) // the broker was there: the letter may be why it went
	}
	return err
}

// count counts what became of readings.
func (s *Sender) count(change func(*letter.Readings)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	change(&s.counts)
}

// Readings is what has become of readings.
func (s *Sender) Readings() letter.Readings {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.counts
}

// Close leaves the broker, which then tells that the station is there no more.
func (s *Sender) Close() {
	if k := s.linked(); k != nil {
		s.leave(k)
	}
	s.mu.Lock()
	l := s.live
	s.live = nil
	s.mu.Unlock()
	if l != nil {
		l.stop()
	}
}
