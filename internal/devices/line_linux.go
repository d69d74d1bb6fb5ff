package devices

import "golang.org/x/sys/unix"

// The characters of the handshake xon/xoff (ASCII DC1 and DC3).
const (
	xon  = 0x11
	xoff = 0x13
)

// complete sets what the library does not set on a line that it has opened.
func (l Line) complete(fd int) error {
	if err := l.setHandshake(fd); err != nil {
		return err
	}
	l.raise(fd)
	return nil
}

// setHandshake has the driver do the handshake. The library has switched off
// every one. A speed that has no code of its own survives TCSETS.
func (l Line) setHandshake(fd int) error {
	set, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		return err
	}
	switch l.Handshake {
	case HandshakeRTSCTS:
		set.Cflag |= unix.CRTSCTS
	case HandshakeXONXOFF:
		set.Iflag |= unix.IXON | unix.IXOFF
		set.Cc[unix.VSTART], set.Cc[unix.VSTOP] = xon, xoff
	default:
		return nil
	}
	if err := unix.IoctlSetTermios(fd, unix.TCSETS, set); err != nil {
		return err
	}
	// A driver that does not know CRTSCTS takes it away without an error.
	inForce, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err == nil && inForce.Cflag&unix.CRTSCTS != set.Cflag&unix.CRTSCTS {
		return ErrNoHandshake
	}
	return err
}

// raise raises DTR and RTS or lowers them; opening has raised both. Drivers
// without these lines refuse in ways of their own, and a line that is gone shows
// at the first read: no error here keeps a port from being opened.
func (l Line) raise(fd int) {
	for _, of := range []struct {
		line int
		up   bool
	}{{unix.TIOCM_DTR, l.DTR}, {unix.TIOCM_RTS, l.RTS}} {
		request := uint(unix.TIOCMBIC)
		if of.up {
			request = unix.TIOCMBIS
		}
		_ = unix.IoctlSetPointerInt(fd, request, of.line)
	}
}
