package access

import (
	"crypto/x509"
	"crypto/x509/pkix"
	"testing"
	"time"
)

// TestSenderOfACertificate: a program that feeds some gauges alone does so under its own
// name, unless another one was given.
func TestSenderOfACertificate(t *testing.T) {
	for want, grant := range map[string]Grant{
		"press-1": {Role: RoleStation, Gauges: []string{"dial"}},
		"press-2": {Role: RoleAdministrator, Gauges: []string{"dial"}},
		"bench":   {Role: RoleStation, Sender: "bench"},
		"":        {Role: RoleStation},
	} {
		name := map[bool]string{true: "press-2", false: "press-1"}[want == "press-2"]
		g := &Guard{Rules: Rules{Certificates: map[string]Grant{name: grant}}}
		c, err := g.Certificate(&x509.Certificate{Subject: pkix.Name{CommonName: name}})
		if err != nil || c.Sender != want {
			t.Errorf("%+v sends as %q, %v; want %q", grant, c.Sender, err, want)
		}
	}
}

// TestSenderOfAUser: no program sends under the name of a user who comes in at the unix socket,
// nor under what looks like one, nor with signs that nobody sees.
func TestSenderOfAUser(t *testing.T) {
	g := &Guard{
		Rules:    Rules{Users: map[string]Grant{"games": {Role: RoleTechnician, Name: "Nob T."}, "backup": {Role: RoleReader}}},
		Register: func() Register { return Register{} }, Now: time.Now, own: func() int { return 0 },
	}
	c := Caller{Name: "anyfeed", Door: DoorToken, Role: RoleStation}
	for source, want := range map[string]string{
		"root": "refusal.access.sender-taken", "Nob T.": "refusal.access.sender-taken", "nob t.": "refusal.access.sender-taken", "backup": "refusal.access.sender-taken",
		"r00t": "refusal.access.sender-taken", "press-b\ufe0f": "refusal.access.name-sign", "bench": "", "anyfeed": "",
	} {
		if got := codeOf(g.Feeds(c, source, nil)); got != want {
			t.Errorf("%q: %q, want %q", source, got, want)
		}
	}
}
