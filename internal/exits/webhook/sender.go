package webhook

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptrace"
	"net/url"
	"strings"
	"sync/atomic"
	"time"

	"gauged/internal/access"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// limits are how long a receiver may take.
type limits struct{ connect, handshake, header, whole time.Duration }

// usual are the limits of a real receiver.
var usual = limits{connect: 5 * time.Second, handshake: 5 * time.Second, header: 15 * time.Second, whole: 30 * time.Second}

// What is read of an answer.
const (
	mostAnswer  = 64 << 10 // bytes of the body; what is longer is not read
	mostHeaders = 64 << 10
)

// Sender sends the letters of a hook, one at a time.
type Sender struct {
	hook   Hook
	agent  string
	now    func() time.Time
	client *http.Client
	whole  time.Duration
}

// NewSender returns the sender of a hook. agent says to the receiver which program sends.
func NewSender(h Hook, agent string, now func() time.Time) *Sender {
	return newSender(h, agent, now, usual)
}

func newSender(h Hook, agent string, now func() time.Time, l limits) *Sender {
	dialer := &net.Dialer{Timeout: l.connect}
	if strings.HasPrefix(h.URL, "http:") {
		dialer.Control = access.LoopbackAlone(inTheClear)
	}
	transport := &http.Transport{ // without a proxy, whatever the environment says
		DialContext: dialer.DialContext, TLSClientConfig: access.OutgoingTLS(h.CA, tls.VersionTLS12), TLSHandshakeTimeout: l.handshake, ResponseHeaderTimeout: l.header,
		MaxConnsPerHost: 1, MaxIdleConnsPerHost: 1, IdleConnTimeout: time.Minute, MaxResponseHeaderBytes: mostHeaders, DisableCompression: true,
	}
	last := func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &Sender{hook: h, agent: agent, now: now, client: &http.Client{Transport: transport, CheckRedirect: last}, whole: l.whole}
}

// inTheClear refuses a host beyond this machine.
func inTheClear(host string) error {
	return gauge.Refused("station.hook-url-clear", gauge.Text("host", host))
}

// Close gives up the connection that is held for the next letter.
func (s *Sender) Close() { s.client.CloseIdleConnections() }

// goneError is that the receiver wants nothing any more.
type goneError struct{ error }

// Gone says so.
func (goneError) Gone() bool { return true }

func (g goneError) Unwrap() error { return g.error }

// Send sends a letter, and comes back without an error when an answer of 2xx has come whole.
func (s *Sender) Send(ctx context.Context, l letter.Letter) error {
	ctx, cancel := context.WithTimeout(ctx, s.whole)
	defer cancel()
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, s.hook.URL, bytes.NewReader(l.Body))
	if err != nil {
		return gauge.WrongInput("station.hook-url", gauge.Text("url", s.hook.Shown()))
	}
	now := s.now()
	request.Header.Set("Content-Type", "application/json")
	request.Header.Set("User-Agent", s.agent)
	request.Header.Set(headerID, l.ID)
	request.Header.Set(headerTime, seconds(now))
	request.Header.Set(headerSignature, s.hook.Secrets.sign(l.ID, now, l.Body))
	var reached atomic.Bool // by a connection that is new, or was left
	request = request.WithContext(httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		ConnectStart: func(string, string) { reached.Store(false) }, GotConn: func(httptrace.GotConnInfo) { reached.Store(true) },
	}))
	answer, err := s.client.Do(request)
	switch {
	case err != nil && reached.Load():
		return gauge.At(plain(err), "exit.no-answer")
	case err != nil:
		return letter.Away(gauge.At(plain(err), "exit.not-reached"))
	}
	defer func() { _ = answer.Body.Close() }()
	status := gauge.Count("status", answer.StatusCode)
	switch {
	case answer.StatusCode == http.StatusGone:
		return goneError{gauge.Refused("exit.answered", status)}
	case answer.StatusCode/100 == 3:
		return gauge.Refused("exit.redirected", status)
	case answer.StatusCode/100 != 2:
		_, _ = io.CopyN(io.Discard, answer.Body, mostAnswer)
		return gauge.Refused("exit.answered", status)
	}
	if _, err := io.CopyN(io.Discard, answer.Body, mostAnswer); err != nil && !errors.Is(err, io.EOF) {
		return gauge.At(plain(err), "exit.broken-off")
	}
	return nil
}

// plain is an error without the address, which may have a secret in it.
func plain(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		return u.Err
	}
	return err
}
