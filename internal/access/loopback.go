package access

import (
	"net/netip"
	"syscall"
)

// LoopbackAlone is a control of a dialer that lets nothing leave this machine, whatever a
// name stands for. refused makes the error of an address elsewhere.
func LoopbackAlone(refused func(address string) error) func(network, address string, _ syscall.RawConn) error {
	return func(_, address string, _ syscall.RawConn) error {
		if at, err := netip.ParseAddrPort(address); err != nil || !at.Addr().IsLoopback() {
			return refused(address)
		}
		return nil
	}
}
