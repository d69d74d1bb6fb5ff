// Package webhook brings letters to an address of HTTP: one signed request each, in the form
// of Standard Webhooks 1.0.0 (https://www.standardwebhooks.com). Only an answer of 2xx that
// comes whole is that the letter was taken.
package webhook

import (
	"crypto/x509"
	"encoding/base64"
	"net/url"
	"strings"
	"time"

	"gauged/internal/access"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// Hook is an address that is told, as the station's file has it.
type Hook struct {
	ID          string
	URL         string
	Secrets     Secrets
	CA          []byte // authorities of the receiver's certificate, in PEM; nil: those of the system
	Events      []gauge.Event
	GiveUpAfter time.Duration // how long a letter is tried
}

// Shown is the address without what may be secret of it.
func (h Hook) Shown() string {
	u, err := url.Parse(h.URL)
	if err != nil {
		return ""
	}
	return u.Scheme + "://" + u.Host + u.Path
}

// CheckURL refuses an address that letters are not sent to: what leaves this machine is
// https, and no name or secret of a person stands in it.
func CheckURL(address string) error {
	u, err := url.Parse(address)
	switch {
	case err != nil || u.Host == "" || u.Hostname() == "" || u.Scheme != "http" && u.Scheme != "https":
		return gauge.WrongInput("station.hook-url", gauge.Text("url", address))
	case u.User != nil || u.Fragment != "":
		return gauge.WrongInput("station.hook-url-secret")
	case u.Scheme == "http" && !access.ThisMachine(u.Hostname()):
		return gauge.WrongInput("station.hook-url-clear", gauge.Text("host", u.Host))
	}
	return nil
}

// CheckCA refuses a file that has no authorities in it.
func CheckCA(content []byte, file string) error {
	if !x509.NewCertPool().AppendCertsFromPEM(content) {
		return gauge.Refused("station.certificate-none", gauge.Text("file", file))
	}
	return nil
}

// Secrets are what requests are signed with. They are never written anywhere.
type Secrets struct{ keys []string }

// String says nothing of them.
func (Secrets) String() string { return "(secret)" }

// GoString says nothing of them.
func (Secrets) GoString() string { return "(secret)" }

// What a file of secrets may have.
const (
	longestSecrets = 4096
	mostSecrets    = 2
	secretPrefix   = "whsec_"
	leastKey       = 24 // bytes, as Standard Webhooks has it
	mostKey        = 64
)

// ReadSecrets reads the secrets of a hook from a file that its owner alone may read: a line
// each, one or, while the receiver changes over, two. letter.ReadSecret says what credentials is.
func ReadSecrets(path, credentials string) (Secrets, error) {
	content, err := letter.ReadSecret(path, longestSecrets, credentials)
	if err != nil {
		return Secrets{}, err
	}
	var s Secrets
	for line := range strings.Lines(string(content)) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		coded, ok := strings.CutPrefix(line, secretPrefix)
		key, err := base64.StdEncoding.DecodeString(coded)
		if !ok || err != nil || len(key) < leastKey || len(key) > mostKey {
			return Secrets{}, gauge.WrongInput("station.hook-secret-form", gauge.Text("file", path))
		}
		s.keys = append(s.keys, string(key))
	}
	if len(s.keys) == 0 || len(s.keys) > mostSecrets {
		return Secrets{}, gauge.WrongInput("station.hook-secret-form", gauge.Text("file", path))
	}
	return s, nil
}
