package config

import (
	"slices"
	"strings"
	"time"

	"gauged/internal/exits/letter"
	"gauged/internal/exits/mqtt"
	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/readfile"
	"gauged/internal/shopfile"
)

// What brokers may be.
const (
	mostBrokers   = 20
	longestClient = 65
	longestPEM    = 64 << 10 // bytes of a certificate or a key
	leastEvery    = 10 * time.Millisecond
	mostEvery     = time.Hour
)

// brokers reads the brokers of MQTT that are told what happens.
func (l *loader) brokers(v shopfile.Value, station string, hooks []webhook.Hook) (all []mqtt.Broker) {
	if !v.Given() {
		return nil
	}
	for _, e := range v.Map().Names() {
		id := e.Key.Word()
		if slices.ContainsFunc(hooks, func(h webhook.Hook) bool { return h.ID == id }) {
			e.Key.Wrong(gauge.Say("station.exit-twice", gauge.Text("exit", id)))
		}
		b := l.broker(id, station, e.Value)
		if i := slices.IndexFunc(all, func(o mqtt.Broker) bool { return o.URL == b.URL && o.Client == b.Client }); i >= 0 {
			e.Key.Wrong(gauge.Say("station.mqtt-client-twice", gauge.Text("exit", id), gauge.Text("other", all[i].ID), gauge.Text("client", b.Client)))
		}
		all = append(all, b)
	}
	if len(all) > mostBrokers {
		v.Wrong(gauge.Say("station.mqtt-many", gauge.Count("brokers", len(all)), gauge.Count("most", mostBrokers)))
	}
	return all
}

func (l *loader) broker(id, station string, v shopfile.Value) mqtt.Broker {
	m := v.Map()
	b := mqtt.Broker{ID: id, Client: station + "-" + id, Topics: "gauged/" + station}
	if url := m.Need("broker"); url.Given() {
		b.URL = url.Text()
		wrongBecause(url, mqtt.CheckURL(b.URL))
	}
	if topics := m.Get("topics"); topics.Given() {
		b.Topics = topics.Text()
		wrongBecause(topics, mqtt.CheckTopics(b.Topics))
	}
	if client := m.Get("client"); client.Given() {
		if b.Client = client.Word(); len(b.Client) > longestClient {
			client.Wrong(gauge.Say("station.mqtt-client", shopfile.Quoted("client", b.Client)))
		}
	}
	l.brokerFiles(&b, m)
	b.Events = events(m.Get("events"))
	if every := m.Get("readings_every"); every.Given() {
		b.Every = every.Duration()
		if _, err := time.ParseDuration(every.Text()); err == nil && (b.Every < leastEvery || b.Every > mostEvery) {
			every.Wrong(gauge.Say("station.mqtt-every", every.As("text")))
		}
	}
	b.GiveUpAfter = giveUpAfter(m.Get("give_up_after"))
	m.Done()
	return b
}

// brokerFiles reads the files by which a broker and the station know each other.
func (l *loader) brokerFiles(b *mqtt.Broker, m *shopfile.Map) {
	credentials := l.getenv("CREDENTIALS_DIRECTORY")
	if login := m.Get("login_file"); login.Given() {
		content, err := letter.ReadSecret(l.path(login.Text()), mqtt.LongestLogin, credentials)
		if err == nil {
			b.Login, err = mqtt.ReadLogin(content, login.Text())
		}
		wrongBecause(login, err)
	}
	ca, certificate, key := m.Get("ca"), m.Get("certificate"), m.Get("key")
	if strings.HasPrefix(b.URL, "mqtt://") {
		for name, given := range map[string]shopfile.Value{"ca": ca, "certificate": certificate, "key": key} {
			if given.Given() {
				given.Wrong(gauge.Say("station.mqtt-insecure", gauge.Text("key", name)))
			}
		}
		return
	}
	b.CA = l.authorities(ca)
	switch {
	case certificate.Given() && key.Given():
		shown, err := readfile.Whole(l.path(certificate.Text()), longestPEM)
		wrongBecause(certificate, err)
		secret, wrong := letter.ReadSecret(l.path(key.Text()), longestPEM, credentials)
		wrongBecause(key, wrong)
		if err == nil && wrong == nil {
			b.Identity, err = mqtt.NewIdentity(shown, secret)
			wrongBecause(certificate, err)
		}
	case certificate.Given():
		certificate.Wrong(gauge.Say("station.mqtt-pair"))
	case key.Given():
		key.Wrong(gauge.Say("station.mqtt-pair"))
	}
}

// wrongBecause says what is wrong with a value, if anything is.
func wrongBecause(v shopfile.Value, err error) {
	if err != nil {
		v.Wrong(gauge.Told(err))
	}
}
