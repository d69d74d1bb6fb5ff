// Package mqtt brings letters to a broker of MQTT 5 (OASIS standard, 2019-03-07), each with
// QoS 1, so that only an answer of the broker is that a letter was taken. Besides letters it
// hands on how each gauge stands, retained, and readings, thinned: of both the newest counts.
package mqtt

import (
	"crypto/tls"
	"net"
	"net/url"
	"strings"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// Broker is a broker that is told what happens, as the station's file has it.
type Broker struct {
	ID          string
	URL         string // mqtt:// or mqtts://, a name and perhaps a port
	Client      string // the id by which the broker knows the station
	Topics      string // what all topics begin with
	Login       Login
	CA          []byte // authorities of the broker's certificate, in PEM; nil: those of the system
	Identity    Identity
	Events      []gauge.Event
	Every       time.Duration // readings of a gauge come no closer than this; 0: none come
	GiveUpAfter time.Duration // how long a letter is tried that the broker does not take
}

// Letters are the events of which each comes.
func (b Broker) Letters() (all []gauge.Event) {
	for _, e := range b.Events {
		if e != gauge.EventGauge {
			all = append(all, e)
		}
	}
	return all
}

// Besides are the events of which the newest counts.
func (b Broker) Besides() (all []gauge.Event) {
	for _, e := range b.Events {
		if e == gauge.EventGauge {
			all = append(all, e)
		}
	}
	if b.Every > 0 {
		all = append(all, gauge.EventReading)
	}
	return all
}

// The schemes of an address, and their ports where none is named.
const (
	schemeClear  = "mqtt"
	schemeSecure = "mqtts"
	portClear    = "1883"
	portSecure   = "8883"
)

// CheckURL refuses an address that nothing is brought to: what leaves this machine is
// encrypted, and no name or secret of a person stands in it.
func CheckURL(address string) error {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Hostname() == "" || u.Scheme != schemeClear && u.Scheme != schemeSecure:
		return gauge.WrongInput("station.mqtt-url", gauge.Text("url", address))
	case u.User != nil || u.RawQuery != "" || u.Fragment != "" || strings.Trim(u.Path, "/") != "":
		return gauge.WrongInput("station.mqtt-url-more")
	case u.Scheme == schemeClear && !access.ThisMachine(u.Hostname()):
		return gauge.WrongInput("station.mqtt-url-clear", gauge.Text("host", u.Host))
	}
	return nil
}

// place is where the broker listens, and whether the way there is encrypted.
func (b Broker) place() (address, host string, secure bool) {
	u, err := url.Parse(b.URL)
	if err != nil {
		return "", "", true
	}
	port := portClear
	if secure = u.Scheme != schemeClear; secure {
		port = portSecure
	}
	if u.Port() != "" {
		port = u.Port()
	}
	return net.JoinHostPort(u.Hostname(), port), u.Hostname(), secure
}

// longestTopic is how many bytes the common part of the topics may have.
const longestTopic = 200

// CheckTopics refuses what topics cannot begin with.
func CheckTopics(topics string) error {
	wrong := topics == "" || len(topics) > longestTopic || strings.HasPrefix(topics, "$") || strings.ContainsAny(topics, "+#")
	for level := range strings.SplitSeq(topics, "/") {
		wrong = wrong || level == ""
	}
	if wrong || strings.ContainsFunc(topics, func(c rune) bool { return c < ' ' || c == 0x7f }) {
		return gauge.WrongInput("station.mqtt-topics", gauge.Text("topics", topics))
	}
	return nil
}

// Login is with what the station comes in at the broker. It is never written anywhere.
type Login struct{ user, password string }

// String says nothing of it.
func (Login) String() string { return "(secret)" }

// GoString says nothing of it.
func (Login) GoString() string { return "(secret)" }

// LongestLogin is how many bytes the file of a login may have.
const LongestLogin = 4096

// ReadLogin reads a login: a user name on the first line, a password on the second.
func ReadLogin(content []byte, file string) (Login, error) {
	user, rest, _ := strings.Cut(string(content), "\n")
	password, more, _ := strings.Cut(rest, "\n")
	user, password = strings.TrimRight(user, "\r"), strings.TrimRight(password, "\r")
	if user == "" || password == "" || strings.TrimSpace(more) != "" {
		return Login{}, gauge.WrongInput("station.mqtt-login-form", gauge.Text("file", file))
	}
	return Login{user, password}, nil
}

// Identity is a certificate of the station with its key, in PEM. The key is never written anywhere.
type Identity struct{ certificate, key []byte }

// String says nothing of it.
func (Identity) String() string { return "(secret)" }

// GoString says nothing of it.
func (Identity) GoString() string { return "(secret)" }

// NewIdentity is a certificate with its key, which must belong together.
func NewIdentity(certificate, key []byte) (Identity, error) {
	if _, err := tls.X509KeyPair(certificate, key); err != nil {
		return Identity{}, gauge.At(err, "station.mqtt-identity")
	}
	return Identity{certificate, key}, nil
}
