package devices

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// Groups of the kernel's device events (linux/netlink.h, systemd's udev): the
// kernel's own, and those that the device manager sends on once it has given a
// device its owner and links.
const (
	eventsOfKernel  = 1
	eventsOfManager = 2
)

// Run listens to the kernel until ctx ends. It is a hint to look, and what is
// seen then counts: where it fails, ports are found a little later.
func (p *Ports) Run(ctx context.Context) error {
	fd, err := unix.Socket(unix.AF_NETLINK, unix.SOCK_RAW|unix.SOCK_CLOEXEC|unix.SOCK_NONBLOCK, unix.NETLINK_KOBJECT_UEVENT)
	if err != nil {
		return fmt.Errorf("listen for plugs: %w", err)
	}
	events := os.NewFile(uintptr(fd), "device events")
	defer events.Close()
	if err := unix.Bind(fd, &unix.SockaddrNetlink{Family: unix.AF_NETLINK, Groups: eventsOfKernel | eventsOfManager}); err != nil {
		return fmt.Errorf("listen for plugs: %w", err)
	}
	stop := context.AfterFunc(ctx, func() { events.Close() })
	defer stop()
	for buf := make([]byte, 16<<10); ; {
		n, err := events.Read(buf)
		switch {
		case ctx.Err() != nil:
			return nil
		case errors.Is(err, unix.ENOBUFS): // some were lost
			p.tell()
		case err != nil:
			return fmt.Errorf("listen for plugs: %w", err)
		case concernsPorts(buf[:n]):
			p.tell()
		}
	}
}

// concernsPorts reports whether an event is about a serial port or a keyboard.
func concernsPorts(event []byte) bool {
	return bytes.Contains(event, []byte("\x00SUBSYSTEM=tty\x00")) || bytes.Contains(event, []byte("\x00SUBSYSTEM=input\x00"))
}
