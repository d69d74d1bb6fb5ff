package mqtt

import (
	"context"
	"log/slog"
	"net"
	"sync"
	"testing"
	"time"

	"github.com/eclipse/paho.golang/packets"

	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/historytest"
	"gauged/internal/tail"
)

// fake is a broker that does to the station what no good one does: packet by packet, as a
// test says. Mosquitto is in cmd/gauged.
type fake struct {
	listener net.Listener
	hello    func(*packets.Connack) // what it answers to who comes in
	answers  answers
	running  sync.WaitGroup

	mu   sync.Mutex
	came []string // topics of messages, in their order
	ins  int      // how often somebody came in
	open int      // messages without an answer
	most int      // the most of them at once
	ends []net.Conn
}

// answers is with which reason code a message is answered, the nth of its topic; nil: it is not.
type answers func(say func(*packets.ControlPacket), topic string, nth int) *byte

func code(c byte) *byte { return &c }

// takes takes everything.
func takes(func(*packets.ControlPacket), string, int) *byte { return code(packets.PubackSuccess) }

func newFake(t testing.TB, hello func(*packets.Connack), answers answers) *fake {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	f := &fake{listener: l, hello: hello, answers: answers}
	f.running.Go(func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			f.mu.Lock()
			f.ends = append(f.ends, c)
			f.mu.Unlock()
			f.running.Go(func() { f.serve(c) })
		}
	})
	t.Cleanup(func() {
		_ = l.Close()
		f.mu.Lock()
		for _, c := range f.ends {
			_ = c.Close()
		}
		f.mu.Unlock()
		f.running.Wait()
	})
	return f
}

// serve speaks with one that comes in, until it goes.
func (f *fake) serve(c net.Conn) {
	defer func() { _ = c.Close() }()
	var whole sync.Mutex
	say := func(p *packets.ControlPacket) {
		whole.Lock()
		defer whole.Unlock()
		_, _ = p.WriteTo(c)
	}
	for {
		p, err := packets.ReadPacket(c)
		if err != nil {
			return
		}
		switch m := p.Content.(type) {
		case *packets.Connect:
			answer := packets.NewControlPacket(packets.CONNACK)
			if hello, ok := answer.Content.(*packets.Connack); ok {
				f.hello(hello)
			}
			f.mu.Lock()
			f.ins++
			f.mu.Unlock()
			say(answer)
		case *packets.Publish:
			f.published(say, m)
		case *packets.Pingreq:
			say(packets.NewControlPacket(packets.PINGRESP))
		case *packets.Disconnect:
			return
		}
	}
}

// published takes a message up, and answers it in its own time.
func (f *fake) published(say func(*packets.ControlPacket), m *packets.Publish) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.came = append(f.came, m.Topic)
	nth := 0
	for _, topic := range f.came {
		if topic == m.Topic {
			nth++
		}
	}
	f.open++
	f.most = max(f.most, f.open)
	f.running.Go(func() {
		reason := f.answers(say, m.Topic, nth)
		f.mu.Lock()
		f.open--
		f.mu.Unlock()
		if reason == nil {
			return
		}
		answer := packets.NewControlPacket(packets.PUBACK)
		if ack, ok := answer.Content.(*packets.Puback); ok {
			ack.PacketID, ack.ReasonCode = m.PacketID, *reason
		}
		say(answer)
	})
}

// got is how many messages came at a topic.
func (f *fake) got(topic string) (n int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, one := range f.came {
		if one == topic {
			n++
		}
	}
	return n
}

// atOnce is how many messages were without an answer at once.
func (f *fake) atOnce() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.most
}

// comesIn is how often somebody came in.
func (f *fake) comesIn() int {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.ins
}

// bench is a history with an exit to a fake broker, and a clock that the test moves.
type bench struct {
	t    *testing.T
	add  func(...gauge.Fact)
	tail *tail.Tail
	x    *exits.Exits

	number uint64 // of the last reading

	mu  sync.Mutex
	now time.Time
}

// Watch and Newest make the bench the history of the exit.
func (b *bench) Watch(after uint64) *tail.Cursor { return b.tail.From(after) }
func (b *bench) Newest() uint64                  { return b.tail.Newest() }

func (b *bench) clock() time.Time {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.now
}

// newBench runs an exit, with what else it is beside a usual one.
func newBench(t *testing.T, f *fake, every time.Duration, l limits, more ...exits.Definition) *bench {
	t.Helper()
	store := historytest.Open(t)
	b := &bench{t: t, tail: tail.New(store), now: morning}
	b.add = func(facts ...gauge.Fact) {
		t.Helper()
		if err := store.Append(t.Context(), facts); err != nil {
			t.Fatal(err)
		}
		b.tail.Add(facts)
	}
	writer := func() letter.Write {
		return func(_ context.Context, f gauge.Fact) (letter.Letter, error) {
			return letter.Letter{Fact: f, ID: "id", Body: []byte("{}")}, nil
		}
	}
	quiet := slog.New(slog.DiscardHandler)
	b.x = exits.New(exits.Options{Store: store, History: b, Now: b.clock, Log: quiet, First: time.Millisecond, Longest: time.Millisecond, KeepAfter: -1, Writer: writer})
	plant := Broker{ID: "plant", URL: "mqtt://" + f.listener.Addr().String(), Client: "bench-1-plant", Topics: "shop", Every: every, Events: gauge.Events}
	b.x.Set(t.Context(), append([]exits.Definition{{
		ID: "plant", Events: plant.Letters(), Besides: plant.Besides(), GiveUpAfter: time.Hour,
		Sender: NewSender(Options{
			Broker: plant, History: b, Writer: writer, States: func() []gauge.Fact { return nil }, Log: quiet, limits: l,
			Presence: func(bool) ([]byte, error) { return []byte("{}"), nil },
		}),
	}}, more...))
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { b.x.Run(ctx) })
	t.Cleanup(func() {
		cancel()
		running.Wait()
	})
	return b
}

// later moves the clock, and has the exit look at it.
func (b *bench) later(d time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.now = b.now.Add(d)
}

// status waits until the exit stands so. Meanwhile the clock goes on a little, so that pauses end.
func (b *bench) status(is func(exits.Status) bool) exits.Status {
	b.t.Helper()
	for {
		if s := b.x.All()[0]; is(s) {
			return s
		}
		b.later(2 * time.Millisecond) // the longest pause
		time.Sleep(time.Millisecond)
	}
}

// checks stores checks of a gauge, which are letters.
func (b *bench) checks(n int) {
	b.t.Helper()
	for range n {
		b.add(gauge.Fact{Seq: b.Newest() + 1, Gauge: &gauge.GaugeFact{Gauge: "dial", Kind: health.KindChecked, Time: b.clock()}})
	}
}

// reads stores readings of a gauge.
func (b *bench) reads(n int) {
	b.t.Helper()
	for range n {
		b.number++
		b.add(gauge.Fact{Seq: b.Newest() + 1, Reading: &gauge.Reading{Gauge: "dial", Number: b.number, Time: b.clock(), Unit: gauge.Millimetre}})
	}
}
