package mqtt

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/eclipse/paho.golang/packets"

	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

const checked = "shop/check/dial"

func welcome(*packets.Connack) {}

// patient are limits that no test comes to.
var patient = limits{connect: time.Minute, answer: time.Minute, write: time.Minute, alive: 60}

// TestBrokersThatCannot: what a broker refuses when the station comes in, and what it cannot
// do, is said by itself; and whether a person is needed.
func TestBrokersThatCannot(t *testing.T) {
	none, small := byte(0), uint32(40)
	for _, c := range []struct {
		name    string
		hello   func(*packets.Connack)
		code    string
		refuses bool
	}{
		{"a wrong password", func(a *packets.Connack) { a.ReasonCode = packets.ConnackBadUsernameOrPassword }, "exit.mqtt-login", true},
		{"nothing allowed", func(a *packets.Connack) { a.ReasonCode = packets.ConnackNotAuthorized }, "exit.mqtt-login", true},
		{"a client id", func(a *packets.Connack) { a.ReasonCode = packets.ConnackInvalidClientID }, "exit.mqtt-client", true},
		{"another protocol", func(a *packets.Connack) { a.ReasonCode = packets.ConnackUnsupportedProtocolVersion }, "exit.mqtt-refused", true},
		{"too many at once", func(a *packets.Connack) { a.ReasonCode = packets.ConnackServerBusy }, "exit.mqtt-busy", false},
		{"not now", func(a *packets.Connack) { a.ReasonCode = packets.ConnackServerUnavailable }, "exit.mqtt-busy", false},
		{"no QoS 1", func(a *packets.Connack) { a.Properties.MaximumQOS = &none }, "exit.mqtt-cannot", true},
		{"nothing retained", func(a *packets.Connack) { a.Properties.RetainAvailable = &none }, "exit.mqtt-cannot", true},
		{"short messages alone", func(a *packets.Connack) { a.Properties.MaximumPacketSize = &small }, "exit.mqtt-long", false},
		{"fine", welcome, "", false},
	} {
		f := newFake(t, c.hello, takes)
		k, err := connect(t.Context(), Broker{URL: "mqtt://" + f.listener.Addr().String(), Client: "x", Topics: "x"}, patient, nil, nil)
		var says letter.AwayError
		var got string
		if err != nil {
			got = gauge.Told(err).Code
		}
		if got != c.code || errors.As(err, &says) && says.Refuses() != c.refuses {
			t.Errorf("%s: %v (%s), refused for good: %v", c.name, err, got, says.Refuses())
		}
		if k != nil {
			k.end()
		}
	}
}

// TestWhatTheBrokerRefusesDies: what the broker does not take is tried for its whole time on
// a connection that stays, then it is a dead letter, and the rest comes. Sent again it is taken.
func TestWhatTheBrokerRefusesDies(t *testing.T) {
	f := newFake(t, welcome, func(_ func(*packets.ControlPacket), topic string, nth int) *byte {
		if topic == checked && nth <= 3 {
			return code(packets.PubackNotAuthorized)
		}
		return code(packets.PubackSuccess)
	})
	b := newBench(t, f, 0, patient)
	b.checks(2)
	s := b.status(func(s exits.Status) bool { return s.Failures == 2 })
	if s.Why.Code != "exit.mqtt-topic" || !strings.Contains(fmt.Sprint(s.Why), checked) || s.Dead != 0 || !s.Connected || s.Away || s.Refused {
		t.Errorf("after it was refused: %+v", s)
	}
	b.later(time.Hour)
	s = b.status(func(s exits.Status) bool { return s.Delivered == 1 })
	if s.Dead != 1 || s.Behind != 0 || f.comesIn() != 1 {
		t.Errorf("an hour later, after %d connections: %+v", f.comesIn(), s)
	}
	letters, err := b.x.Letters(t.Context(), "plant", 0, 10)
	if err != nil || len(letters) != 1 || letters[0].Seq != 1 || letters[0].Event != gauge.EventCheck || letters[0].Why.Code != "exit.mqtt-topic" {
		t.Errorf("dead are %+v, %v", letters, err)
	}
	if n, err := b.x.SendAgain(t.Context(), "plant", nil, "Ada"); n != 1 || err != nil {
		t.Fatal(n, err)
	}
	b.status(func(s exits.Status) bool { return s.Dead == 0 && s.Delivered == 2 })
}

// TestFullBroker: one whose queues are full takes nothing for a while. Letters wait; a reading
// that it refuses is counted, and not tried again.
func TestFullBroker(t *testing.T) {
	f := newFake(t, welcome, func(_ func(*packets.ControlPacket), topic string, nth int) *byte {
		if topic != "shop/station" && nth <= 2 {
			return code(packets.PubackQuotaExceeded)
		}
		return code(packets.PubackSuccess)
	})
	b := newBench(t, f, time.Nanosecond, patient)
	b.status(func(s exits.Status) bool { return s.Connected })
	b.checks(1)
	s := b.status(func(s exits.Status) bool { return s.Failures == 2 })
	if s.Why.Code != "exit.mqtt-not-taken" || !strings.Contains(fmt.Sprint(s.Why), "0x97") {
		t.Errorf("%+v", s)
	}
	b.status(func(s exits.Status) bool { return s.Delivered == 1 && s.Failures == 0 })
	for i := range uint64(3) {
		b.reads(1)
		s = b.status(func(s exits.Status) bool { return s.Readings.Taken+s.Readings.Refused == i+1 })
	}
	if *s.Readings != (letter.Readings{Taken: 1, Refused: 2}) || f.got("shop/reading/dial") != 3 {
		t.Errorf("of three readings: %+v, and %d came", *s.Readings, f.got("shop/reading/dial"))
	}
}

// elsewhere is the sender of another exit, whose receiver takes everything.
type elsewhere struct{ got chan uint64 }

func (e elsewhere) Send(_ context.Context, l letter.Letter) error {
	e.got <- l.Fact.Seq
	return nil
}

func (elsewhere) Close() {}

// TestSlowBroker: nothing else waits for a broker that takes its time: not the station, not
// another exit. Of readings one for each gauge is kept, and the rest is counted.
func TestSlowBroker(t *testing.T) {
	goesOn := make(chan struct{})
	release := sync.OnceFunc(func() { close(goesOn) })
	t.Cleanup(release)
	f := newFake(t, welcome, func(_ func(*packets.ControlPacket), topic string, _ int) *byte {
		if topic != "shop/station" {
			<-goesOn
		}
		return code(packets.PubackSuccess)
	})
	const many = 500
	other := elsewhere{make(chan uint64, many)}
	b := newBench(t, f, time.Nanosecond, patient, exits.Definition{ID: "other", Events: gauge.Events, GiveUpAfter: time.Hour, Sender: other})
	b.status(func(s exits.Status) bool { return s.Connected })
	b.checks(1)
	b.reads(1)
	b.status(func(exits.Status) bool { return f.got(checked) == 1 && f.got("shop/reading/dial") == 1 })
	b.reads(many)
	b.checks(many)
	for range many + 1 { // while the broker holds two messages back
		<-other.got
	}
	if s := b.x.All()[0]; s.Delivered != 0 || s.Failures != 0 || s.Waiting.IsZero() || f.atOnce() != 2 {
		t.Errorf("while the broker takes its time: %+v, with %d messages at once", s, f.atOnce())
	}
	release()
	s := b.status(func(s exits.Status) bool { return s.Behind == 0 && s.Readings.Taken == 2 })
	if s.Delivered != many+1 || s.Readings.Thinned != many-1 || f.comesIn() != 1 {
		t.Errorf("afterwards: %+v, %+v", s, *s.Readings)
	}
}

// TestBrokerThatAnswersNoMore: one that takes messages and answers none is given up after a
// while; over the next connection everything comes.
func TestBrokerThatAnswersNoMore(t *testing.T) {
	f := newFake(t, welcome, func(_ func(*packets.ControlPacket), topic string, nth int) *byte {
		if topic == checked && nth == 1 {
			return nil
		}
		return code(packets.PubackSuccess)
	})
	l := patient
	l.answer = 100 * time.Millisecond
	b := newBench(t, f, 0, l)
	b.checks(2)
	s := b.status(func(s exits.Status) bool { return s.Failed == 1 })
	if s.Why.Code != "exit.mqtt-silent" && s.Failures != 0 {
		t.Errorf("%+v", s)
	}
	s = b.status(func(s exits.Status) bool { return s.Delivered == 2 })
	if f.comesIn() != 2 || f.got(checked) != 3 || s.Failed != 1 {
		t.Errorf("after %d connections and %d messages: %+v", f.comesIn(), f.got(checked), s)
	}
}

// TestOneAtATime: a broker that takes one message at a time gets one at a time, letters and
// what comes besides.
func TestOneAtATime(t *testing.T) {
	one := uint16(1)
	f := newFake(t, func(a *packets.Connack) { a.Properties.ReceiveMaximum = &one }, takes)
	b := newBench(t, f, time.Nanosecond, patient)
	b.status(func(s exits.Status) bool { return s.Connected })
	for range 50 {
		b.checks(1)
		b.reads(1)
	}
	b.status(func(s exits.Status) bool {
		return s.Delivered == 50 && s.Readings.Taken+s.Readings.Thinned == 50
	})
	if f.atOnce() != 1 {
		t.Errorf("%d messages were without an answer at once", f.atOnce())
	}
}

// TestTakenOver: a client id that another program comes in with is said, needs a person, and
// loses nothing.
func TestTakenOver(t *testing.T) {
	f := newFake(t, welcome, func(say func(*packets.ControlPacket), topic string, nth int) *byte {
		if topic != checked || nth != 2 {
			return code(packets.PubackSuccess)
		}
		end := packets.NewControlPacket(packets.DISCONNECT)
		if d, ok := end.Content.(*packets.Disconnect); ok {
			d.ReasonCode = packets.DisconnectSessionTakenOver
		}
		say(end)
		return nil
	})
	b := newBench(t, f, 0, patient)
	b.checks(3)
	s := b.status(func(s exits.Status) bool { return s.Failed > 0 })
	if s.Why.Code != "exit.mqtt-taken-over" && s.Failures != 0 {
		t.Errorf("%+v", s)
	}
	b.status(func(s exits.Status) bool { return s.Delivered == 3 })
	if f.comesIn() != 2 || f.got(checked) != 4 {
		t.Errorf("%d connections, %d messages", f.comesIn(), f.got(checked))
	}
	var says letter.AwayError
	if err := ended(packets.DisconnectSessionTakenOver, "bench-1-plant"); !errors.As(err, &says) || !says.Refuses() {
		t.Errorf("nobody is told of %v", err)
	}
}

// TestBrokerThatSaysWhatNobodyAsked: packets that a broker has no reason to send do no harm:
// the station goes on, over this connection or the next one.
func TestBrokerThatSaysWhatNobodyAsked(t *testing.T) {
	for _, kind := range []byte{
		packets.CONNECT, packets.CONNACK, packets.PUBLISH, packets.PUBACK, packets.PUBREC, packets.PUBREL, packets.PUBCOMP, packets.SUBSCRIBE,
		packets.SUBACK, packets.UNSUBSCRIBE, packets.UNSUBACK, packets.PINGREQ, packets.PINGRESP, packets.DISCONNECT, packets.AUTH,
	} {
		f := newFake(t, welcome, func(say func(*packets.ControlPacket), topic string, nth int) *byte {
			if topic == checked && nth == 2 {
				p := packets.NewControlPacket(kind)
				switch m := p.Content.(type) {
				case *packets.Publish:
					m.QoS, m.PacketID, m.Topic = 2, 7, "other"
				case *packets.Pubrec:
					m.PacketID = 7
				case *packets.Pubrel:
					m.PacketID = 7
				}
				say(p)
			}
			return code(packets.PubackSuccess)
		})
		b := newBench(t, f, 0, patient)
		b.checks(4)
		s := b.status(func(s exits.Status) bool { return s.Delivered == 4 && s.Behind == 0 })
		if f.comesIn() > 2 {
			t.Errorf("after a packet of kind %d it came in %d times: %+v", kind, f.comesIn(), s)
		}
	}
}
