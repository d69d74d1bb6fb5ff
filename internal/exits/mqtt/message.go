package mqtt

import (
	"strconv"

	"github.com/eclipse/paho.golang/paho"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

const (
	contentType = "application/json"
	longestHead = 256 // bytes of a message besides topic and body
	utf8        = byte(1)
)

// message is one that is brought to the broker.
type message struct {
	topic      string
	body       []byte
	retain     bool
	properties paho.UserProperties
}

// messageOf is a letter as a message. How a gauge stands is retained.
func messageOf(b Broker, l letter.Letter) message {
	event := letter.EventOf(l.Fact)
	m := message{topic: topic(b, event, about(l.Fact)), body: l.Body, retain: event == gauge.EventGauge}
	if l.Fact.Seq > 0 {
		m.properties.Add("seq", strconv.FormatUint(l.Fact.Seq, 10)).Add("event_id", l.ID)
	}
	if l.Unit != gauge.UnitUnknown {
		m.properties.Add("unit", l.Unit.String())
	}
	return m
}

func (m message) packet() *paho.Publish {
	form := utf8
	return &paho.Publish{
		QoS: 1, Retain: m.retain, Topic: m.topic, Payload: m.body,
		Properties: &paho.PublishProperties{ContentType: contentType, PayloadFormat: &form, User: m.properties},
	}
}

// topic is where an event is told, with the gauge where it is one of a gauge.
func topic(b Broker, e gauge.Event, gaugeID string) string {
	all := b.Topics + "/" + string(e)
	if gaugeID != "" {
		all += "/" + gaugeID
	}
	return all
}

// about is the gauge of which a fact tells; empty: it tells of a job.
func about(f gauge.Fact) string {
	switch {
	case f.State != nil:
		return f.State.Gauge
	case f.Reading != nil:
		return f.Reading.Gauge
	case f.Gauge != nil:
		return f.Gauge.Gauge
	}
	return ""
}
