package access

import (
	"errors"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"strings"
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
		return nil, gauge.Refused("station.socket-directory", gauge.Text("path", path), gauge.Text("directory", filepath.Dir(path)))
	case errors.Is(err, fs.ErrPermission):
		return nil, gauge.Refused("station.socket-forbidden", gauge.Text("path", path), gauge.Text("directory", filepath.Dir(path)))
	case errors.Is(err, syscall.EINVAL):
		return nil, gauge.Refused("station.socket-long", gauge.Text("path", path))
	case err != nil:
		return nil, gauge.At(err, "station.socket", gauge.Text("path", path))
	}
	if err := os.Chmod(path, socketMode); err != nil {
		return nil, errors.Join(gauge.At(err, "station.socket", gauge.Text("path", path)), l.Close())
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
		return gauge.At(err, "station.socket", gauge.Text("path", path))
	case info.Mode().Type() != fs.ModeSocket:
		return gauge.Refused("station.socket-other", gauge.Text("path", path))
	}
	conn, err := net.DialTimeout("unix", path, time.Second)
	switch {
	case err == nil:
		_ = conn.Close()
		return gauge.Refused("station.socket-answers", gauge.Text("path", path))
	case errors.Is(err, syscall.ECONNREFUSED):
		if err := os.Remove(path); err != nil {
			return gauge.At(err, "station.socket-stays", gauge.Text("path", path))
		}
		return nil
	case errors.Is(err, fs.ErrNotExist): // its daemon has just ended
		return nil
	default:
		return gauge.At(err, "station.socket-unclear", gauge.Text("path", path))
	}
}

// ListenLoopback listens on a TCP address of this machine's loopback. Others are refused.
func ListenLoopback(address string) (net.Listener, error) {
	if err := CheckLoopback(address); err != nil {
		return nil, gauge.At(err, "station.listen-refused")
	}
	l, err := listenTCP(address)
	if err != nil {
		return nil, err
	}
	if at, ok := l.Addr().(*net.TCPAddr); !ok || !at.IP.IsLoopback() {
		return nil, errors.Join(gauge.Refused("station.listen-elsewhere", gauge.Text("address", address), gauge.Text("means", l.Addr().String())), l.Close())
	}
	return l, nil
}

func listenTCP(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, gauge.Refused("station.listen-taken", gauge.Text("address", address))
	case err != nil:
		return nil, gauge.At(err, "station.listen", gauge.Text("address", address))
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
func AsThisMachine(r *http.Request) bool { return ThisMachine(hostNamed(r)) }

// hostNamed is the name or address of the host that a request names.
func hostNamed(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = strings.Trim(r.Host, "[]")
	}
	return strings.ToLower(strings.TrimSuffix(host, ".")) // RFC 4343; a full name may end with a dot
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
