//go:build !linux

package devices

import (
	"os"
	"sync/atomic"
	"time"

	"go.bug.st/serial"

	"gauged/internal/gauge"
)

// serialPort is the library's port with the errors that Port promises.
type serialPort struct {
	serial.Port
	closing atomic.Bool
}

func openSerial(path string, line Line, quiet time.Duration) (Port, error) {
	if line.Handshake != HandshakeNone {
		return nil, &OpenError{path, gauge.Say("because.open.handshake-elsewhere"), ErrNoHandshake}
	}
	mode := line.mode()
	if !line.DTR || !line.RTS { // opening raises them
		mode.InitialStatusBits = &serial.ModemOutputBits{DTR: line.DTR, RTS: line.RTS}
	}
	opened, err := serial.Open(path, mode)
	if err != nil {
		return nil, cannotOpen(path, err)
	}
	// Set once before the first read: it may not change while one waits.
	if err := opened.SetReadTimeout(quiet); err != nil {
		opened.Close()
		return nil, cannotOpen(path, err)
	}
	return &serialPort{Port: opened}, nil
}

// Read turns the library's "nothing and no error" into a deadline. Unplugging
// and Close give the same error there, so Close leaves a mark.
func (p *serialPort) Read(buf []byte) (int, error) {
	n, err := p.Port.Read(buf)
	switch {
	case p.closing.Load():
		return n, os.ErrClosed
	case n == 0 && err == nil:
		return 0, os.ErrDeadlineExceeded
	}
	return n, err
}

func (p *serialPort) Close() error {
	p.closing.Store(true)
	return p.Port.Close()
}
