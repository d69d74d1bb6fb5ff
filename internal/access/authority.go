package access

import (
	"crypto"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/readfile"
)

// The own authority holds for ten years and its certificates for one: tablets take none
// that hold for longer than 398 days from authorities that come with them, and are not
// asked to take longer ones from others (common practice, no source).
const (
	authorityLife = 10 * 365 * 24 * time.Hour
	serverLife    = 365 * 24 * time.Hour
	renewBefore   = 60 * 24 * time.Hour
	clockLeeway   = 24 * time.Hour // of a device whose clock is behind
)

// AuthorityFile is the certificate of the own authority, which a device must trust.
func (t TLS) AuthorityFile() string { return ownFile(t.Dir, "authority.pem") }

func ownFile(dir, name string) string { return filepath.Join(dir, name) }

// renewOwn makes what is missing or about to end in the directory of the own authority: the
// authority itself, which it returns, and a certificate of the daemon for names.
func renewOwn(dir string, names []string, now time.Time) (*x509.Certificate, error) {
	authority, err := ownAuthority(dir, withOwnNames(names), now)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		if !permits(authority, name) {
			return nil, gauge.Refused("station.own-authority-narrow", gauge.Text("directory", dir), gauge.Text("name", name), gauge.Text("names", strings.Join(permitted(authority), ", ")))
		}
	}
	// A machine that was given another name is not one for which devices trust it.
	names = slices.DeleteFunc(withOwnNames(names), func(name string) bool { return !permits(authority, name) })
	if server, err := tls.LoadX509KeyPair(ownFile(dir, "server.pem"), ownFile(dir, "server.key")); err == nil && holds(server.Leaf, names, now) && server.Leaf.CheckSignatureFrom(authority) == nil {
		return authority, nil
	}
	by, err := tls.LoadX509KeyPair(ownFile(dir, "authority.pem"), ownFile(dir, "authority.key"))
	if err != nil { // devices trust it: it is not made anew behind their backs
		return nil, gauge.At(err, "station.own-authority-bad", gauge.Text("directory", dir))
	}
	template := &x509.Certificate{
		Subject: pkix.Name{CommonName: names[0]}, NotBefore: now.Add(-clockLeeway), NotAfter: now.Add(serverLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	for _, name := range names {
		if ip := net.ParseIP(name); ip != nil {
			template.IPAddresses = append(template.IPAddresses, ip)
		} else {
			template.DNSNames = append(template.DNSNames, name)
		}
	}
	return authority, issue(dir, "server", template, by.Leaf, by.PrivateKey.(crypto.Signer))
}

// ownAuthority reads the certificate of the authority, or makes one for names where there is none.
func ownAuthority(dir string, names []string, now time.Time) (*x509.Certificate, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, gauge.At(err, "station.own-certificate")
	}
	content, err := readfile.Whole(ownFile(dir, "authority.pem"), longestPEM)
	if errors.Is(err, fs.ErrNotExist) {
		made, err := newAuthority(dir, names, now)
		if err != nil {
			return nil, gauge.At(err, "station.own-authority")
		}
		return made.Leaf, nil
	}
	var authority *x509.Certificate
	if block, _ := pem.Decode(content); err == nil && block != nil {
		authority, err = x509.ParseCertificate(block.Bytes)
	}
	switch {
	case err == nil && authority == nil:
		return nil, gauge.Refused("station.certificate-none", gauge.Text("file", ownFile(dir, "authority.pem")))
	case err != nil:
		return nil, gauge.At(err, "station.own-authority-bad", gauge.Text("directory", dir))
	case !authority.PermittedDNSDomainsCritical:
		return nil, gauge.Refused("station.own-authority-wide", gauge.Text("directory", dir))
	}
	return authority, nil
}

// permits reports whether an authority may vouch for a name or an address.
func permits(authority *x509.Certificate, name string) bool {
	if ip := net.ParseIP(name); ip != nil {
		return slices.ContainsFunc(authority.PermittedIPRanges, func(r *net.IPNet) bool { return r.Contains(ip) })
	}
	name = strings.ToLower(name)
	return slices.ContainsFunc(authority.PermittedDNSDomains, func(domain string) bool {
		return name == domain || strings.HasSuffix(name, "."+domain)
	})
}

// permitted are the names and addresses that an authority may vouch for.
func permitted(authority *x509.Certificate) []string {
	names := slices.Clone(authority.PermittedDNSDomains)
	for _, r := range authority.PermittedIPRanges {
		names = append(names, r.IP.String())
	}
	return names
}

// withOwnNames adds the names that this machine has for itself.
func withOwnNames(names []string) []string {
	names = slices.Clone(names)
	if host, err := os.Hostname(); err == nil {
		names = append(names, host)
	}
	for _, own := range []string{"localhost", "127.0.0.1", "::1"} {
		if !slices.Contains(names, own) {
			names = append(names, own)
		}
	}
	return names
}

// holds reports whether a certificate is for all names and does not end soon.
func holds(c *x509.Certificate, names []string, now time.Time) bool {
	return c != nil && now.After(c.NotBefore) && now.Add(renewBefore).Before(c.NotAfter) &&
		!slices.ContainsFunc(names, func(name string) bool { return c.VerifyHostname(name) != nil })
}

// noDomain is a domain that nobody has (RFC 2606, 2). An authority that may vouch for it alone
// vouches for nobody.
const noDomain = "invalid"

// newAuthority makes an authority that can vouch for names and what lies below them, and for
// no other site: whoever has its key is no other site to the devices that trust it (RFC
// 5280, 4.2.1.10).
func newAuthority(dir string, names []string, now time.Time) (tls.Certificate, error) {
	host, err := os.Hostname()
	if err != nil {
		return tls.Certificate{}, err
	}
	template := &x509.Certificate{
		Subject: pkix.Name{CommonName: "gauged on " + host}, NotBefore: now.Add(-clockLeeway), NotAfter: now.Add(authorityLife),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true, KeyUsage: x509.KeyUsageCertSign,
		ExtKeyUsage:                 []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth, x509.ExtKeyUsageClientAuth},
		PermittedDNSDomainsCritical: true, PermittedEmailAddresses: []string{noDomain}, PermittedURIDomains: []string{noDomain},
	}
	for _, name := range names {
		ip := net.ParseIP(name)
		if four := ip.To4(); four != nil {
			ip = four
		}
		if ip != nil {
			template.PermittedIPRanges = append(template.PermittedIPRanges, &net.IPNet{IP: ip, Mask: net.CIDRMask(8*len(ip), 8*len(ip))})
		} else {
			template.PermittedDNSDomains = append(template.PermittedDNSDomains, strings.TrimPrefix(strings.ToLower(name), "*."))
		}
	}
	if err := issue(dir, "authority", template, nil, nil); err != nil {
		return tls.Certificate{}, err
	}
	return tls.LoadX509KeyPair(ownFile(dir, "authority.pem"), ownFile(dir, "authority.key"))
}

// issue makes a key on the curve P-256 and a certificate for it, and writes both; by a nil
// authority it is signed by itself.
func issue(dir, name string, template, authority *x509.Certificate, by crypto.Signer) error {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	if authority == nil {
		authority, by = template, key
	}
	if template.SerialNumber, err = rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127)); err != nil {
		return err
	}
	content, err := x509.CreateCertificate(rand.Reader, template, authority, key.Public(), by)
	if err != nil {
		return err
	}
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	return errors.Join(
		writeWhole(ownFile(dir, name+".key"), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: private}), 0o600),
		writeWhole(ownFile(dir, name+".pem"), pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: content}), 0o644),
	)
}

// writeWhole writes a file so that nobody reads half of it.
func writeWhole(path string, content []byte, mode fs.FileMode) error {
	next := path + ".new"
	if err := os.WriteFile(next, content, mode); err != nil {
		return err
	}
	return os.Rename(next, path)
}
