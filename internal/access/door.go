package access

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"

	"gauged/internal/gauge"
)

// socketMode lets the daemon's user and group use the socket.
const socketMode = 0o660

// ListenUnix listens on a unix socket at path that the daemon's user and group
// may use. A socket on which nobody answers is the rest of a daemon that was
// killed, and is replaced; anything else at path is left alone.
func ListenUnix(path string) (net.Listener, error) {
	if err := clearSocket(path); err != nil {
		return nil, err
	}
	l, err := net.Listen("unix", path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("socket %s: the directory %s does not exist; create it, or name another place", path, filepath.Dir(path))
	case errors.Is(err, fs.ErrPermission):
		return nil, fmt.Errorf("socket %s: this user may not write in %s; start the daemon as the directory's owner, or name another place", path, filepath.Dir(path))
	case errors.Is(err, syscall.EINVAL):
		return nil, fmt.Errorf("socket %s: the path is longer than a socket can have (some 100 bytes); name a shorter one", path)
	case err != nil:
		return nil, fmt.Errorf("socket %s: %w", path, err)
	}
	if err := os.Chmod(path, socketMode); err != nil {
		return nil, errors.Join(fmt.Errorf("socket %s: %w", path, err), l.Close())
	}
	return l, nil
}

// clearSocket removes a socket that nobody answers on.
func clearSocket(path string) error {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("socket %s: %w", path, err)
	case info.Mode().Type() != fs.ModeSocket:
		return fmt.Errorf("socket %s: something that is not a socket is there; move it away, or name another place", path)
	}
	conn, err := net.DialTimeout("unix", path, time.Second)
	switch {
	case err == nil:
		_ = conn.Close()
		return fmt.Errorf("socket %s: another daemon answers there; stop it, or name another place", path)
	case errors.Is(err, syscall.ECONNREFUSED):
		if err := os.Remove(path); err != nil {
			return fmt.Errorf("socket %s: nobody answers there, and it cannot be removed: %w", path, err)
		}
		return nil
	case errors.Is(err, fs.ErrNotExist): // its daemon has just ended
		return nil
	default:
		return fmt.Errorf("socket %s: it cannot be told whether another daemon uses it: %w", path, err)
	}
}

// ListenLoopback listens on a TCP address of this machine's loopback. Others are refused.
func ListenLoopback(address string) (net.Listener, error) {
	if err := CheckLoopback(address); err != nil {
		return nil, fmt.Errorf("listen on %w", err)
	}
	l, err := listenTCP(address)
	if err != nil {
		return nil, err
	}
	if at, ok := l.Addr().(*net.TCPAddr); !ok || !at.IP.IsLoopback() {
		return nil, errors.Join(fmt.Errorf("listen on %s: localhost means %s here, which is not this machine's loopback; use 127.0.0.1", address, l.Addr()), l.Close())
	}
	return l, nil
}

func listenTCP(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, fmt.Errorf("listen on %s: another program listens there; stop it, or name another port", address)
	case err != nil:
		return nil, fmt.Errorf("listen on %s: %w", address, err)
	}
	return l, nil
}

// CheckLoopback says why a TCP address, host:port, is none of this machine's loopback.
func CheckLoopback(address string) error { return CheckAddress(address, false) }

// hostOf is the host of a TCP address whose port is a number.
func hostOf(address string) (string, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return "", gauge.WrongInput("station.no-address", quoted("address", address))
	}
	if _, err := strconv.ParseUint(port, 10, 16); err != nil {
		return "", gauge.WrongInput("station.no-port-number", quoted("address", address), quoted("port", port))
	}
	return host, nil
}

// AsThisMachine reports whether the host that a request names, with or without a port, is
// this machine's loopback: a page of another site could have its own name lead here.
func AsThisMachine(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = r.Host
	}
	return ThisMachine(host)
}

// ThisMachine reports whether a host's name or address is this machine's loopback.
func ThisMachine(host string) bool {
	ip, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && ip.IsLoopback()
}

// quoted is a text as an argument that stands between quotes, with signs that cannot be
// shown escaped.
func quoted(name, text string) gauge.Arg {
	text = strconv.Quote(text)
	return gauge.Text(name, text[1:len(text)-1])
}
