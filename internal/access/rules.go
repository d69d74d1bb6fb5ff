package access

import "net/netip"

// Rules are what the station's configuration says of who may come in. Their zero value
// is closed: only who runs the daemon, and root, come in at the unix socket.
type Rules struct {
	// Open: nobody is asked who they are.
	Open         bool
	Users        map[string]Grant // users of the operating system, at the unix socket
	Groups       map[string]Grant // groups of the operating system, at the unix socket
	Certificates map[string]Grant // client certificates, by the common name or a DNS name in them
	Proxies      []netip.Prefix   // whose word on the caller's host and scheme is taken
	Names        []string         // hosts under which the station is reached over TLS, besides those of its certificate
	// Certified reports whether a host's name or address is one of the certificate; nil: there is none.
	Certified func(host string) bool
}

// Grant is what somebody gets who is known elsewhere.
type Grant struct {
	Role   Role
	Name   string   // empty: the one they are known by there
	Gauges []string // whose readings it may feed; empty: of all
	Sender string   // as which it may feed readings; empty: as any, with a certificate see Token.SendsAs
}
