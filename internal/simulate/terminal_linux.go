package simulate

import (
	"errors"
	"os"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// openTerminal opens a pseudo-terminal that echoes nothing and returns its
// master and the name of its slave, which nobody has open.
func openTerminal() (*os.File, string, error) {
	blocking, slave, err := pty.Open()
	if err != nil {
		return nil, "", err
	}
	defer blocking.Close()
	defer slave.Close()
	if err := makeRaw(int(slave.Fd())); err != nil {
		return nil, "", err
	}
	fd, err := unix.FcntlInt(blocking.Fd(), unix.F_DUPFD_CLOEXEC, 0)
	if err != nil {
		return nil, "", err
	}
	if err := unix.SetNonblock(fd, true); err != nil {
		unix.Close(fd)
		return nil, "", err
	}
	return os.NewFile(uintptr(fd), blocking.Name()), slave.Name(), nil
}

// makeRaw switches off everything a terminal does to bytes, the echo first.
func makeRaw(fd int) error {
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		return err
	}
	t.Iflag, t.Oflag, t.Lflag = 0, 0, 0
	t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 1, 0
	return unix.IoctlSetTermios(fd, unix.TCSETS, t)
}

// listening reports whether the slave is open: the master is hung up otherwise.
func listening(master *os.File) bool {
	raw, err := master.SyscallConn()
	if err != nil {
		return false
	}
	open := false
	err = raw.Control(func(fd uintptr) {
		polled := []unix.PollFd{{Fd: int32(fd), Events: unix.POLLOUT}}
		_, err := unix.Poll(polled, 0)
		open = err == nil && polled[0].Revents&unix.POLLHUP == 0
	})
	return err == nil && open
}

// writeNow writes what the terminal takes without waiting.
func writeNow(master *os.File, bytes []byte) error {
	raw, err := master.SyscallConn()
	if err != nil {
		return err
	}
	var writing error
	err = raw.Write(func(fd uintptr) bool {
		_, writing = unix.Write(int(fd), bytes)
		return true
	})
	return errors.Join(err, writing)
}
