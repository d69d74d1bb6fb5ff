package access

import (
	"errors"
	"net"
	"syscall"
)

// peer returns the user and the group of the process at the other end of a unix socket,
// as the kernel noted them when it connected.
func peer(conn net.Conn) (uid, gid int, err error) {
	for {
		inner, wrapped := conn.(interface{ NetConn() net.Conn })
		if !wrapped {
			break
		}
		conn = inner.NetConn()
	}
	unix, ok := conn.(*net.UnixConn)
	if !ok {
		return 0, 0, errors.ErrUnsupported
	}
	raw, err := unix.SyscallConn()
	if err != nil {
		return 0, 0, err
	}
	var cred *syscall.Ucred
	outer := raw.Control(func(fd uintptr) {
		cred, err = syscall.GetsockoptUcred(int(fd), syscall.SOL_SOCKET, syscall.SO_PEERCRED)
	})
	if err := errors.Join(outer, err); err != nil {
		return 0, 0, err
	}
	return int(cred.Uid), int(cred.Gid), nil
}
