package mqtt

import (
	"context"
	"errors"
	"time"

	"github.com/eclipse/paho.golang/packets"
	"github.com/eclipse/paho.golang/paho"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// limits are how long a broker may take.
type limits struct {
	connect, answer, write time.Duration
	alive                  uint16 // seconds of silence until it is asked whether it is there
}

// usual are the limits of a real broker.
var usual = limits{connect: 10 * time.Second, answer: 15 * time.Second, write: 10 * time.Second, alive: 20}

// mostAnswers is how many messages a broker may send without an answer: nothing is subscribed to.
const mostAnswers = 8

// link is one connection to a broker. After it a session is over: the place of the exit says
// what is sent again, and nothing else does.
type link struct {
	client *paho.Client
	broker Broker
	limits limits
	most   int             // bytes that a message may have; 0: any
	holds  context.Context // ends when the connection is lost, with why as its cause
	loses  context.CancelCauseFunc
}

// connect comes in at a broker. It tells that the station is there, and the broker will tell
// when it is there no more.
func connect(ctx context.Context, b Broker, l limits, online, offline []byte) (*link, error) {
	conn, err := dial(ctx, b, l)
	if err != nil {
		return nil, notReached(err, l.connect)
	}
	k := &link{broker: b, limits: l}
	k.holds, k.loses = context.WithCancelCause(context.WithoutCancel(ctx))
	k.client = paho.NewClient(paho.ClientConfig{
		Conn: conn, PacketTimeout: l.answer,
		OnPublishReceived:  []func(paho.PublishReceived) (bool, error){func(paho.PublishReceived) (bool, error) { return true, nil }},
		OnClientError:      func(err error) { k.loses(broken(err, b.Client)) },
		OnServerDisconnect: func(d *paho.Disconnect) { k.loses(ended(d.ReasonCode, b.Client)) },
	})
	few, longest, form := uint16(mostAnswers), uint32(longestAnswer), utf8
	hello := &paho.Connect{
		KeepAlive: l.alive, ClientID: b.Client, CleanStart: true,
		Username: b.Login.user, UsernameFlag: b.Login.user != "", Password: []byte(b.Login.password), PasswordFlag: b.Login.user != "",
		Properties:     &paho.ConnectProperties{ReceiveMaximum: &few, MaximumPacketSize: &longest},
		WillMessage:    &paho.WillMessage{Topic: topic(b, gauge.EventStation, ""), Payload: offline, QoS: 1, Retain: true},
		WillProperties: &paho.WillProperties{ContentType: contentType, PayloadFormat: &form},
	}
	answer, err := k.client.Connect(ctx, hello)
	switch {
	case answer != nil && answer.ReasonCode >= packets.ConnackUnspecifiedError:
		return nil, notLetIn(answer.ReasonCode, b.Client)
	case err != nil:
		return nil, notReached(conn.because(err), l.answer)
	}
	if p := answer.Properties; p != nil {
		if p.MaximumQoS != nil && *p.MaximumQoS == 0 || !p.RetainAvailable {
			k.end()
			return nil, letter.Shut(gauge.Refused("exit.mqtt-cannot"))
		}
		if p.MaximumPacketSize != nil {
			k.most = int(*p.MaximumPacketSize)
		}
	}
	if err := k.publish(ctx, message{topic: topic(b, gauge.EventStation, ""), body: online, retain: true}); err != nil {
		k.end()
		return nil, err
	}
	return k, nil
}

// lost is closed when the connection is no more.
func (k *link) lost() <-chan struct{} { return k.holds.Done() }

// lostBecause is why the connection is no more; nil: it is there.
func (k *link) lostBecause() error { return context.Cause(k.holds) }

// end ends the connection, so that the broker tells that the station is there no more.
func (k *link) end() {
	k.loses(letter.Away(gauge.Refused("exit.mqtt-none")))
	_ = k.client.Disconnect(&paho.Disconnect{ReasonCode: packets.DisconnectDisconnectWithWillMessage})
}

// publish brings a message, and comes back without an error when the broker has taken it. A
// connection on which there is no answer is given up.
func (k *link) publish(ctx context.Context, m message) error {
	p := m.packet()
	if size := len(m.body) + len(m.topic) + longestHead; k.most > 0 && size > k.most {
		return gauge.Refused("exit.mqtt-long", gauge.Count("bytes", size), gauge.Count("most", k.most))
	}
	waits, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(k.holds, cancel)() // the library would wait for an answer that cannot come
	answer, err := k.client.Publish(waits, p)
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		k.loses(ctx.Err())
	case answer != nil && answer.ReasonCode == packets.PubackNotAuthorized:
		return gauge.Refused("exit.mqtt-topic", gauge.Text("topic", m.topic))
	case answer != nil:
		return gauge.Refused("exit.mqtt-not-taken", reason(answer.ReasonCode))
	case k.lostBecause() != nil:
	case errors.Is(err, context.DeadlineExceeded):
		k.loses(gauge.Refused("exit.mqtt-silent", gauge.Span("time", k.limits.answer)))
	default:
		k.waitsForWhy(err)
	}
	why := k.lostBecause()
	k.end()
	return why
}

// waitsForWhy waits for why the connection was lost, which is known a little later than that a
// message was not answered. Where that does not come, the error of the message is why.
func (k *link) waitsForWhy(err error) {
	timer := time.AfterFunc(k.limits.connect, func() { k.loses(broken(err, k.broker.Client)) })
	defer timer.Stop()
	<-k.lost()
}
