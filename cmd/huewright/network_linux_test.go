package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/cmd/huewright/internal/lan"
	"huewright/internal/logbook"
	"huewright/internal/web"
)

// Only Linux has the whole of 127.0.0.0/8 without setting it up.

// In the network the pages come on this machine's addresses only, in https with a certificate that is kept, also when the
// address changes; the browser stays paired.
func TestServeInTheNetwork(t *testing.T) {
	log, err := logbook.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), logbook.Options{Make: true})
	require.NoError(t, err)
	defer func() { _ = log.Close() }()
	free, err := lan.Local(0, false)
	require.NoError(t, err)
	port := free.Addr().(*net.TCPAddr).Port
	require.NoError(t, free.Close())
	var now atomic.Pointer[[]netip.Addr]
	now.Store(&[]netip.Addr{netip.MustParseAddr("127.0.0.2")})
	out := &screen{}
	s := &serving{
		out: out, port: port, flags: &serveFlags{lan: true, tls: true},
		addresses: func() []netip.Addr { return *now.Load() }, every: 20 * time.Millisecond,
	}
	s.server, err = web.New(log, web.Options{NewCode: s.sayCode})
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	defer s.network.Wait()
	defer stop()
	folder := filepath.Join(t.TempDir(), "tls")
	require.NoError(t, s.answerNetwork(ctx, folder))

	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	phone := func() *http.Client { // that trusts the certificate as it now is
		certificate, err := os.ReadFile(filepath.Join(folder, "certificate.pem"))
		require.NoError(t, err)
		pool := x509.NewCertPool()
		require.True(t, pool.AppendCertsFromPEM(certificate))
		return &http.Client{Jar: jar, Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}}}
	}
	link := pairLink.FindStringSubmatch(out.String())
	require.NotNil(t, link, out.String())
	require.Equal(t, fmt.Sprintf("https://127.0.0.2:%d", port), link[1])
	r, err := phone().PostForm(link[1]+"/pair", url.Values{"code": {link[2]}})
	require.NoError(t, err)
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, r.StatusCode, string(body))
	require.NotContains(t, string(body), "not encrypted")

	now.Store(&[]netip.Addr{netip.MustParseAddr("127.0.0.3")})
	at := fmt.Sprintf("https://127.0.0.3:%d", port)
	require.Eventually(t, func() bool { return strings.Contains(out.String(), at) && strings.Count(out.String(), "SHA-256") == 2 },
		20*time.Second, 5*time.Millisecond, out.String())
	r, err = phone().Get(at + "/pair")
	require.NoError(t, err)
	_ = r.Body.Close()
	require.Equal(t, http.StatusOK, r.StatusCode)
	_, err = phone().Get(link[1] + "/")
	require.Error(t, err, "the address has gone")
}
