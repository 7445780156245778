package lan

import (
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Only private addresses and those of the link itself are listened on.
func TestOnlyOwnAddresses(t *testing.T) {
	for text, own := range map[string]bool{
		"10.1.2.3": true, "172.16.0.1": true, "172.31.255.255": true, "192.168.1.20": true, "169.254.7.7": true,
		"172.32.0.1": false, "8.8.4.4": false, "100.64.0.1": false, "127.0.0.1": false, "0.0.0.0": false, "224.0.0.1": false,
		"fe80::1": false, "fd00::1": false, "2001:db8::1": false,
	} {
		require.Equal(t, own, isOwn(netip.MustParseAddr(text)), text)
	}
	for _, a := range Addresses() {
		require.True(t, isOwn(a), "%v", a)
	}
}

// The certificate is kept, names every address there was, and is renewed in time with the key it had.
func TestTheCertificateIsKept(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "tls")
	clock := time.Now()
	now := func() time.Time { return clock }
	first := []netip.Addr{netip.MustParseAddr("192.168.1.20")}
	c, err := OpenCertificate(folder, now)
	require.NoError(t, err)
	require.NoError(t, c.For(first))
	print := c.Fingerprint()
	key, err := os.ReadFile(c.keyPath())
	require.NoError(t, err)
	for _, path := range []string{c.Path(), c.keyPath()} {
		info, err := os.Stat(path)
		require.NoError(t, err)
		require.Zero(t, info.Mode()&0o077, path)
	}
	c, err = OpenCertificate(folder, now)
	require.NoError(t, err)
	require.NoError(t, c.For(first))
	require.Equal(t, print, c.Fingerprint())

	second := []netip.Addr{netip.MustParseAddr("10.0.0.5"), netip.MustParseAddr("127.0.0.1")}
	require.NoError(t, c.For(second))
	require.NotEqual(t, print, c.Fingerprint())
	print = c.Fingerprint()
	require.NoError(t, c.For(first), "it still names the first")
	require.Equal(t, print, c.Fingerprint())
	clock = clock.Add(validFor - renewed + time.Hour)
	require.NoError(t, c.For(first))
	require.NotEqual(t, print, c.Fingerprint())
	require.True(t, c.pair.Load().Leaf.NotAfter.After(clock.Add(renewed)))
	again, err := os.ReadFile(c.keyPath())
	require.NoError(t, err)
	require.Equal(t, string(key), string(again))

	// A browser that trusts it is answered; others, and other names, are not.
	l, err := Local(0, false)
	require.NoError(t, err)
	server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { _, _ = io.WriteString(w, "here") })}
	go func() { _ = server.Serve(c.Listener(l)) }()
	defer func() { _ = server.Close() }()
	pool := x509.NewCertPool()
	pool.AddCert(c.pair.Load().Leaf)
	ask := func(config *tls.Config) error {
		config.Time = now
		client := &http.Client{Transport: &http.Transport{TLSClientConfig: config}}
		r, err := client.Get("https://" + l.Addr().String())
		if err == nil {
			_ = r.Body.Close()
		}
		return err
	}
	require.NoError(t, ask(&tls.Config{RootCAs: pool}))
	require.Error(t, ask(&tls.Config{RootCAs: pool, ServerName: "example.org"}))
	require.Error(t, ask(&tls.Config{RootCAs: x509.NewCertPool()}))
}

func TestADamagedCertificateIsSaid(t *testing.T) {
	folder := t.TempDir()
	c, err := OpenCertificate(folder, time.Now)
	require.NoError(t, err)
	require.NoError(t, c.For(nil))
	require.NoError(t, os.WriteFile(c.Path(), []byte("no certificate"), 0o600))
	_, err = OpenCertificate(folder, time.Now)
	require.ErrorContains(t, err, folder)
}

// A port that is taken is refused, or another is found, as is asked for.
func TestAPortThatIsTaken(t *testing.T) {
	taken, err := Local(0, false)
	require.NoError(t, err)
	defer func() { _ = taken.Close() }()
	port := taken.Addr().(*net.TCPAddr).Port
	_, err = Local(port, false)
	require.Error(t, err)
	other, err := Local(port, true)
	require.NoError(t, err)
	require.NotEqual(t, port, other.Addr().(*net.TCPAddr).Port)
	require.NoError(t, other.Close())
}
