package devices

import (
	"errors"
	"io"
	"net"
	"os"
	"syscall"
	"time"

	"gauged/internal/gauge"
)

// dialWithin bounds the connection to a serial server.
const dialWithin = 5 * time.Second

// keepAlive finds a serial server that is gone without a word, in half a minute.
var keepAlive = net.KeepAliveConfig{Enable: true, Idle: 10 * time.Second, Interval: 5 * time.Second, Count: 4}

// tcpDialer opens a line at a serial server that hands its bytes on as they
// are. How the line is set is the server's affair.
type tcpDialer struct {
	address string
	quiet   time.Duration
}

// Present is always so: whether the server is there shows when it is dialled.
func (d tcpDialer) Present() bool { return true }

func (d tcpDialer) Dial() (Port, error) {
	dialer := net.Dialer{Timeout: dialWithin, KeepAliveConfig: keepAlive}
	conn, err := dialer.Dial("tcp", d.address)
	if err != nil {
		return nil, &OpenError{d.address, explainDial(err), err}
	}
	return &tcpPort{conn, d.quiet}, nil
}

func (d tcpDialer) String() string { return "serial server " + d.address }

// explainDial says why a serial server cannot be reached and what to do.
func explainDial(err error) gauge.Message {
	var name *net.DNSError
	switch {
	case errors.As(err, &name):
		return gauge.Say("because.open.name", gauge.Text("host", name.Name))
	case errors.Is(err, syscall.ECONNREFUSED):
		return gauge.Say("because.open.nothing-listens")
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETUNREACH):
		return gauge.Say("because.open.no-answer")
	}
	return gauge.Told(err)
}

// errServerClosed is what a line gives that the serial server has closed.
var errServerClosed = &lineError{message: gauge.Say("because.line.server-closed")}

type tcpPort struct {
	net.Conn
	quiet time.Duration
}

func (p *tcpPort) Read(buf []byte) (int, error) {
	if err := p.SetReadDeadline(time.Now().Add(p.quiet)); err != nil {
		return 0, err
	}
	n, err := p.Conn.Read(buf)
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, syscall.ECONNRESET):
		return n, errServerClosed
	case errors.Is(err, os.ErrDeadlineExceeded):
		return n, os.ErrDeadlineExceeded
	}
	return n, err
}

func (p *tcpPort) Write(buf []byte) (int, error) {
	if err := p.SetWriteDeadline(time.Now().Add(writeWithin)); err != nil {
		return 0, err
	}
	n, err := p.Conn.Write(buf)
	if errors.Is(err, syscall.ECONNRESET) || errors.Is(err, syscall.EPIPE) {
		return n, errServerClosed
	}
	return n, err
}
