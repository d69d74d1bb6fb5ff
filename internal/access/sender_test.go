package access

import (
	"crypto/x509"
	"crypto/x509/pkix"
	"testing"
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
