package mqtt

import (
	"context"
	"crypto/tls"
	"errors"
	"net"
	"sync"
	"time"

	"gauged/internal/access"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

// wire is a connection on which no write takes longer than was said. The lock keeps packets
// whole, which the library writes in pieces.
type wire struct {
	net.Conn
	sync.Mutex
	write  time.Duration
	asked  bool // the broker has asked for a certificate of the station
	packet incoming
}

// Write writes within the time.
func (w *wire) Write(b []byte) (int, error) {
	if err := w.SetWriteDeadline(time.Now().Add(w.write)); err != nil {
		return 0, err
	}
	return w.Conn.Write(b)
}

// Read refuses packets that are longer than answers are: nothing is subscribed to, and the
// library would read any length into memory.
func (w *wire) Read(b []byte) (int, error) {
	n, err := w.Conn.Read(b)
	if !w.packet.passes(b[:n]) {
		return 0, errTooLong
	}
	return n, err
}

var errTooLong = errors.New("a packet of the broker is longer than an answer is")

// longestAnswer is how many bytes a packet of the broker may have.
const longestAnswer = 64 << 10

// incoming follows where packets of MQTT begin and how long they are: a byte of their kind,
// then the length in up to four bytes of seven bits, lowest first.
type incoming struct {
	begun  bool // the byte of the kind has come
	digits int
	length int
	left   int // bytes of the packet to come
}

// passes follows some bytes, and reports whether no packet in them is too long.
func (p *incoming) passes(b []byte) bool {
	for len(b) > 0 {
		if p.left > 0 {
			n := min(p.left, len(b))
			p.left -= n
			b = b[n:]
			continue
		}
		one := b[0]
		b = b[1:]
		if !p.begun {
			p.begun = true
			continue
		}
		p.length |= int(one&0x7f) << (7 * p.digits)
		p.digits++
		switch more := one >= 0x80; {
		case more && p.digits == 4 || p.length > longestAnswer:
			return false // of a fifth digit the library would make a length, too
		case more:
			continue
		}
		*p = incoming{left: p.length}
	}
	return true
}

// dial comes to the broker, within a time and without a proxy, whatever the environment says.
func dial(ctx context.Context, b Broker, l limits) (*wire, error) {
	ctx, cancel := context.WithTimeout(ctx, l.connect)
	defer cancel()
	address, host, secure := b.place()
	dialer := &net.Dialer{}
	if !secure {
		dialer.Control = access.LoopbackAlone(inTheClear)
	}
	conn, err := dialer.DialContext(ctx, "tcp", address)
	if err != nil {
		return nil, err
	}
	w := &wire{Conn: conn, write: l.write}
	if secure {
		err = w.secure(ctx, host, b)
	}
	if err != nil {
		return nil, errors.Join(w.because(err), conn.Close())
	}
	return w, nil
}

// secure makes the connection one of TLS, whose other end has proven that it is the broker.
func (w *wire) secure(ctx context.Context, host string, b Broker) error {
	config := access.OutgoingTLS(b.CA, tls.VersionTLS12)
	config.ServerName = host
	var own tls.Certificate
	if b.Identity.certificate != nil {
		var err error
		if own, err = tls.X509KeyPair(b.Identity.certificate, b.Identity.key); err != nil {
			return err
		}
	}
	config.GetClientCertificate = func(*tls.CertificateRequestInfo) (*tls.Certificate, error) {
		w.asked = true
		return &own, nil
	}
	within := tls.Client(w.Conn, config)
	if err := within.HandshakeContext(ctx); err != nil {
		return err
	}
	w.Conn = within
	return nil
}

// because is an error before the broker has said anything. One that asked for a certificate
// and then broke the connection off did not believe it; it need not say so.
func (w *wire) because(err error) error {
	var broker *tls.CertificateVerificationError
	if !w.asked || errors.Is(err, context.DeadlineExceeded) || errors.As(err, &broker) {
		return err
	}
	return letter.Shut(gauge.At(err, "exit.mqtt-certificate"))
}

// inTheClear refuses a host beyond this machine.
func inTheClear(host string) error {
	return gauge.Refused("station.mqtt-url-clear", gauge.Text("host", host))
}
