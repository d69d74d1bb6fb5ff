package devices

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"syscall"
	"time"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"

	"gauged/internal/gauge"
)

// errUnplugged is what a line gives whose far side is gone.
var errUnplugged = &lineError{message: gauge.Say("because.line.unplugged")}

// serialPort moves its bytes through a descriptor of its own, on which the
// runtime can wait with a deadline: a Close ends any Read and Write, and the
// number of the descriptor does not matter. The library sets the line and
// keeps the exclusive flag; the lock on our descriptor keeps out even root.
type serialPort struct {
	file  *os.File
	line  serial.Port
	quiet time.Duration
	held  bool // the gauge may hold up what we write
}

func openSerial(path string, line Line, quiet time.Duration) (Port, error) {
	// The path may be a link that is moved to another port while we work.
	file, err := os.OpenFile(resolved(path), os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, explainOpen(path, err)
	}
	port, err := prepare(file, line, quiet)
	if err != nil {
		file.Close()
		return nil, explainOpen(path, err)
	}
	if !leadsTo(path, file) {
		port.Close()
		return nil, missing(path)
	}
	return port, nil
}

// leadsTo reports whether a path still leads to what was opened through it. A
// gauge may be unplugged, and another be given its name, while we open.
func leadsTo(path string, file *os.File) bool {
	now, err := os.Stat(path)
	if err != nil {
		return false
	}
	opened, err := file.Stat()
	return err == nil && os.SameFile(now, opened)
}

// prepare locks and sets the line behind an open descriptor.
func prepare(file *os.File, line Line, quiet time.Duration) (*serialPort, error) {
	if err := file.SetDeadline(time.Time{}); err != nil {
		return nil, errors.Join(ErrNotSerial, err) // the runtime cannot wait on it
	}
	if err := lock(file); err != nil {
		return nil, err
	}
	set, err := serial.Open(file.Name(), line.mode())
	if err != nil {
		return nil, err
	}
	err = control(file, line.complete)
	if err == nil {
		// What came before we opened is old: it must not pass for a new reading.
		err = set.ResetInputBuffer()
	}
	if err != nil {
		set.Close()
		return nil, err
	}
	return &serialPort{file: file, line: set, quiet: quiet, held: line.Handshake != HandshakeNone}, nil
}

// lock takes the port for us alone, among all programs that ask.
func lock(file *os.File) error {
	return control(file, func(fd int) error { return unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB) })
}

// control does something to the descriptor of a file.
func control(file *os.File, do func(fd int) error) error {
	raw, err := file.SyscallConn()
	if err != nil {
		return err
	}
	var done error
	if err := raw.Control(func(fd uintptr) { done = do(int(fd)) }); err != nil {
		return err
	}
	return done
}

func (p *serialPort) Read(buf []byte) (int, error) {
	if p.file.SetReadDeadline(time.Now().Add(p.quiet)) != nil {
		return 0, os.ErrClosed // nothing else can fail: see openSerial
	}
	n, err := p.file.Read(buf)
	return n, hungUp(err)
}

func (p *serialPort) Write(buf []byte) (int, error) {
	if p.file.SetWriteDeadline(time.Now().Add(writeWithin)) != nil {
		return 0, os.ErrClosed
	}
	n, err := p.file.Write(buf)
	return n, hungUp(err)
}

func (p *serialPort) Close() error {
	if p.held { // the system would wait half a minute for the gauge to take what is left
		_ = p.line.ResetOutputBuffer()
	}
	return errors.Join(p.line.Close(), p.file.Close())
}

func hungUp(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENXIO) || errors.Is(err, syscall.ENODEV) {
		return errUnplugged
	}
	return err
}

// explainOpen says why a port cannot be opened, whose it is and what to do.
func explainOpen(path string, err error) error {
	var refused *serial.PortError
	code := serial.PortErrorCode(-1)
	if errors.As(err, &refused) {
		code = refused.Code()
	}
	switch {
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, syscall.ENXIO), errors.Is(err, syscall.ENODEV):
		return missing(path)
	case errors.Is(err, fs.ErrPermission), code == serial.PermissionDenied:
		return forbidden(path, whose(path))
	case errors.Is(err, unix.EWOULDBLOCK), errors.Is(err, unix.EBUSY), code == serial.PortBusy:
		return taken(path)
	case errors.Is(err, ErrNoHandshake):
		return noHandshake(path)
	case code == serial.InvalidSerialPort, errors.Is(err, ErrNotSerial):
		return notSerial(path)
	}
	return cannotOpen(path, err)
}
