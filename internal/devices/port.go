package devices

import (
	"fmt"
	"io"
	"os"
	"time"
)

// Port is an open line to a gauge.
//
// Read gives os.ErrDeadlineExceeded when nothing came for the quiet time with
// which the port was opened, and any other error once the line is gone; it
// never gives 0 and no error. Close ends a Read that waits. Write does not
// wait longer than a second.
type Port interface {
	io.ReadWriteCloser
}

// writeWithin bounds a write to a port that nobody reads.
const writeWithin = time.Second

// Dialer opens the line of one gauge.
type Dialer interface {
	// Present reports whether the port exists, without opening it.
	Present() bool
	// Dial opens the port. The error says what to do about it.
	Dial() (Port, error)
}

// NewDialer returns the dialer for a gauge on a serial port of this machine, or
// behind a serial server.
func NewDialer(g Gauge) Dialer {
	quiet := defaultPause
	if g.Layout != nil {
		quiet = g.Layout.Pause
	}
	switch {
	case g.RFC2217:
		return rfc2217Dialer{tcpDialer{g.TCP, quiet}, g.Line}
	case g.TCP != "":
		return tcpDialer{g.TCP, quiet}
	case g.Keyboard != "":
		return newKeyboardDialer(g.Keyboard, quiet)
	}
	return serialDialer{line: g.Line, path: g.Port, usb: g.USB, sys: sysRoot, quiet: quiet}
}

type serialDialer struct {
	line  Line
	path  string
	usb   string
	sys   string
	quiet time.Duration
}

func (d serialDialer) Present() bool {
	if d.usb != "" {
		ports, err := usbDevices(d.sys, serialClass)
		return err != nil || len(ports[d.usb]) > 0 // Dial reports the error
	}
	_, err := os.Stat(d.path)
	return err == nil || !os.IsNotExist(err)
}

func (d serialDialer) Dial() (Port, error) {
	if d.usb == "" {
		return openSerial(d.path, d.line, d.quiet)
	}
	path, err := findUSB(d.sys, serialClass, d.usb)
	if err != nil {
		return nil, err
	}
	port, err := openSerial(path, d.line, d.quiet)
	if err != nil {
		return nil, err
	}
	// The kernel may have given the name to another adapter meanwhile.
	if now, err := findUSB(d.sys, serialClass, d.usb); err != nil || now != path {
		port.Close()
		return nil, missing(path)
	}
	return port, nil
}

func (d serialDialer) String() string {
	if d.usb != "" {
		return fmt.Sprintf("USB adapter with the serial number %q", d.usb)
	}
	return "port " + d.path
}
