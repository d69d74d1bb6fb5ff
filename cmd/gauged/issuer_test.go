package main

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"time"
)

// issuer makes certificates for a trial.
type issuer struct {
	tr        *trial
	authority *x509.Certificate
	key       *ecdsa.PrivateKey
}

// own makes a new certificate of this machine, which is its own authority from then on.
func (i *issuer) own(name string) {
	i.tr.t.Helper()
	i.authority, i.key = i.issue(name, &x509.Certificate{
		Subject: pkix.Name{CommonName: name + " of the test"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, BasicConstraintsValid: true, IsCA: true,
	})
}

// issue writes a certificate with its key, which the authority signs; an authority
// signs itself.
func (i *issuer) issue(name string, template *x509.Certificate) (*x509.Certificate, *ecdsa.PrivateKey) {
	i.tr.t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		i.tr.t.Fatal(err)
	}
	template.SerialNumber, template.NotBefore, template.NotAfter = big.NewInt(time.Now().UnixNano()), time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
	authority, signer := i.authority, i.key
	if template.IsCA {
		authority, signer = template, key
	}
	der, err := x509.CreateCertificate(rand.Reader, template, authority, &key.PublicKey, signer)
	if err != nil {
		i.tr.t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		i.tr.t.Fatal(err)
	}
	i.tr.write(name+".pem", string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})))
	if err := os.WriteFile(i.tr.path(name+".key"), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600); err != nil {
		i.tr.t.Fatal(err)
	}
	made, err := x509.ParseCertificate(der)
	if err != nil {
		i.tr.t.Fatal(err)
	}
	return made, key
}
