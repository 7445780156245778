package lan

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"io"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"runtime"
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

// Addresses that come are listened on, those that went are closed, and others stay as they are.
func TestAChangeOfAddressIsFollowed(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux has the whole of 127.0.0.0/8 without setting it up")
	}
	free, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	port := free.Addr().(*net.TCPAddr).Port
	require.NoError(t, free.Close())
	var now []netip.Addr
	var came, went []string
	f := &Follower{
		Port: port, Addresses: func() []netip.Addr { return now },
		Came: func(l net.Listener) { came = append(came, l.Addr().String()) }, Went: func(host string) { went = append(went, host) },
	}
	one, two := netip.MustParseAddr("127.0.0.2"), netip.MustParseAddr("127.0.0.3")
	answers := func(a netip.Addr) bool {
		c, err := net.DialTimeout("tcp4", hostOf(a, port), time.Second)
		if err == nil {
			_ = c.Close()
		}
		return err == nil
	}
	on, changed := f.Update()
	require.Empty(t, on)
	require.False(t, changed)
	now = []netip.Addr{one}
	on, changed = f.Update()
	require.Equal(t, now, on)
	require.True(t, changed)
	require.True(t, answers(one))
	require.False(t, answers(netip.MustParseAddr("127.0.0.4")), "no other address is listened on")
	_, changed = f.Update()
	require.False(t, changed)
	now = []netip.Addr{two}
	on, changed = f.Update()
	require.Equal(t, now, on)
	require.True(t, changed)
	require.False(t, answers(one))
	require.True(t, answers(two))
	require.Equal(t, []string{hostOf(one, port), hostOf(two, port)}, came)
	require.Equal(t, []string{hostOf(one, port)}, went)

	taken, err := net.Listen("tcp4", hostOf(one, port))
	require.NoError(t, err)
	now = []netip.Addr{one, two}
	on, _ = f.Update()
	require.Equal(t, []netip.Addr{two}, on, "another program has the port there")
	require.NoError(t, taken.Close())
	on, _ = f.Update()
	require.Equal(t, now, on)

	told, ended := make(chan []netip.Addr), make(chan struct{})
	now = []netip.Addr{one}
	ctx, stop := context.WithCancel(t.Context())
	go func() {
		f.Follow(ctx, time.Millisecond, func(on []netip.Addr) { told <- on })
		close(ended)
	}()
	require.Equal(t, now, <-told)
	require.True(t, answers(one))
	stop()
	<-ended
	require.False(t, answers(one), "all are closed")
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
