package lan

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"huewright/internal/atomicfile"
)

// A Certificate is this machine's own, signed by itself, and kept: a browser that was told once to trust it need not be told
// again until it is renewed.
type Certificate struct {
	folder string
	now    func() time.Time
	pair   atomic.Pointer[tls.Certificate]
}

const (
	// From memory: browsers take no certificate that is valid for more than 398 days.
	validFor   = 397 * 24 * time.Hour
	renewed    = 30 * 24 * time.Hour // before it ends
	mostNames  = 32                  // addresses that a certificate keeps, the last first
	serialBits = 120
)

// The private networks, the link's own and the loopback: nobody can pass for another site with this certificate, not even
// where it is trusted.
var ownRanges = []string{"10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8"}

// OpenCertificate reads the certificate that is kept in a folder, or makes one there that names no address yet: see For.
func OpenCertificate(folder string, now func() time.Time) (*Certificate, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	c := &Certificate{folder: folder, now: now}
	pair, err := tls.LoadX509KeyPair(c.Path(), c.keyPath())
	if err == nil {
		c.pair.Store(&pair)
		return c, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w", folder, err)
	}
	return c, nil
}

// Path is the certificate's file, which a phone may be told to trust.
func (c *Certificate) Path() string    { return filepath.Join(c.folder, "certificate.pem") }
func (c *Certificate) keyPath() string { return filepath.Join(c.folder, "key.pem") }

// For makes sure that the certificate names some addresses and is valid for a while. It is made anew where it is not, with
// the key it had, and with the addresses that it had.
func (c *Certificate) For(addresses []netip.Addr) error {
	var names []netip.Addr
	var key *ecdsa.PrivateKey
	if pair := c.pair.Load(); pair != nil {
		for _, ip := range pair.Leaf.IPAddresses {
			if a, ok := netip.AddrFromSlice(ip); ok {
				names = append(names, a.Unmap())
			}
		}
		missing := slices.ContainsFunc(addresses, func(a netip.Addr) bool { return !slices.Contains(names, a) })
		if !missing && c.now().Add(renewed).Before(pair.Leaf.NotAfter) {
			return nil
		}
		key, _ = pair.PrivateKey.(*ecdsa.PrivateKey)
	}
	if key == nil {
		var err error
		if key, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader); err != nil {
			return err
		}
	}
	all := slices.Clone(addresses)
	for _, a := range append(names, netip.MustParseAddr("127.0.0.1")) {
		if !slices.Contains(all, a) {
			all = append(all, a)
		}
	}
	return c.make(key, all[:min(len(all), mostNames)])
}

func (c *Certificate) make(key *ecdsa.PrivateKey, addresses []netip.Addr) error {
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), serialBits))
	if err != nil {
		return err
	}
	template := &x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "huewright on this machine"},
		NotBefore: c.now().Add(-time.Hour), NotAfter: c.now().Add(validFor),
		KeyUsage:    x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, DNSNames: []string{"localhost"},
		// Phones take into their store only what may sign.
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		PermittedDNSDomains: []string{"localhost"}, PermittedDNSDomainsCritical: true,
	}
	for _, a := range addresses {
		template.IPAddresses = append(template.IPAddresses, a.AsSlice())
	}
	for _, text := range ownRanges {
		_, network, err := net.ParseCIDR(text)
		if err != nil {
			return err
		}
		template.PermittedIPRanges = append(template.PermittedIPRanges, network)
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		return err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	certificate := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	keyText := pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})
	pair, err := tls.X509KeyPair(certificate, keyText)
	if err != nil {
		return err
	}
	// The key first: it is that of the certificate before, too.
	private := atomicfile.Options{Mode: 0o600}
	if err := errors.Join(private.WriteBytes(c.keyPath(), keyText), private.WriteBytes(c.Path(), certificate)); err != nil {
		return err
	}
	c.pair.Store(&pair)
	return nil
}

// Listener answers in https what comes to another.
func (c *Certificate) Listener(l net.Listener) net.Listener {
	return tls.NewListener(l, &tls.Config{
		MinVersion:     tls.VersionTLS12,
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return c.pair.Load(), nil },
	})
}

// Fingerprint is the SHA-256 of the certificate as browsers show it, to be compared before it is trusted.
func (c *Certificate) Fingerprint() string {
	sum := sha256.Sum256(c.pair.Load().Certificate[0])
	var pairs []string
	for _, b := range sum {
		pairs = append(pairs, fmt.Sprintf("%02X", b))
	}
	return strings.Join(pairs, ":")
}
