package devices

import (
	"cmp"
	"context"
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

// NewDialer returns the dialer for the gauges on one line (see ByLine), which is
// a serial port or a keyboard of this machine, or behind a serial server. With
// nil for ports it is not noticed when plugs change places.
func NewDialer(ports *Ports, gauges ...Gauge) Dialer {
	g := gauges[0]
	var quiet time.Duration
	for _, one := range gauges {
		if one.Layout != nil {
			quiet = max(quiet, one.Layout.Pause)
		}
	}
	quiet = cmp.Or(quiet, defaultPause)
	switch {
	case g.RFC2217:
		return rfc2217Dialer{tcpDialer{g.TCP, quiet}, g.Line}
	case g.TCP != "":
		return tcpDialer{g.TCP, quiet}
	case g.Keyboard != "":
		return newKeyboardDialer(g.Keyboard, quiet)
	}
	return serialDialer{line: g.Line, path: g.Port, usb: g.USB, sys: sysRoot, quiet: quiet, gauge: g.ID, ports: ports}
}

type serialDialer struct {
	line  Line
	path  string
	usb   string
	sys   string
	quiet time.Duration
	gauge string
	ports *Ports
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
		return d.dialPath()
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

// dialPath opens a gauge that is named by its port. Where the adapter there can
// be told from others, it must not be that of another gauge.
func (d serialDialer) dialPath() (Port, error) {
	adapter := adapterAt(d.sys, d.path)
	port, err := openSerial(d.path, d.line, d.quiet)
	if err != nil {
		return nil, err
	}
	if adapterAt(d.sys, d.path) != adapter {
		port.Close()
		return nil, missing(d.path)
	}
	if err := d.ports.claim(d.gauge, d.path, adapter); err != nil {
		port.Close()
		return nil, err
	}
	return port, nil
}

func (d serialDialer) String() string {
	if d.usb != "" {
		return fmt.Sprintf("USB adapter with the serial number %q", d.usb)
	}
	return "port " + d.path
}

// closeWith closes a port when ctx ends, which ends a read that waits; else when
// the returned function is called. That returns when the port is closed, so that
// it can be opened again.
func closeWith(ctx context.Context, port Port) (end func()) {
	closed := make(chan struct{})
	stop := context.AfterFunc(ctx, func() {
		defer close(closed)
		port.Close()
	})
	return func() {
		if stop() {
			port.Close()
			return
		}
		<-closed
	}
}
