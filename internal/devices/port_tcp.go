package devices

import (
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"syscall"
	"time"
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
		return nil, &OpenError{Port: d.address, Text: explainDial(err), Err: err}
	}
	return &tcpPort{conn, d.quiet}, nil
}

func (d tcpDialer) String() string { return "serial server " + d.address }

// explainDial says why a serial server cannot be reached and what to do.
func explainDial(err error) string {
	var name *net.DNSError
	switch {
	case errors.As(err, &name):
		return fmt.Sprintf("the name %q is not known: check it, or write the address in numbers", name.Name)
	case errors.Is(err, syscall.ECONNREFUSED):
		return "nothing listens there: is the serial server on, and is this its port for the line?"
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, syscall.EHOSTUNREACH), errors.Is(err, syscall.ENETUNREACH):
		return "the serial server does not answer: is it on, and in this network?"
	}
	return err.Error()
}

// errServerClosed is what a line gives that the serial server has closed.
var errServerClosed = errors.New("the serial server closed the connection: it was switched off, or another program took the line")

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
