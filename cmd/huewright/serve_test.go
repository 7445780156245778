package main

import (
	"bytes"
	"context"
	"net/http"
	"net/http/cookiejar"
	"net/netip"
	"net/url"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
	"huewright/internal/web"
)

// A screen may be written to and read at once.
type screen struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

func (s *screen) Write(p []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.Write(p)
}

func (s *screen) String() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text.String()
}

// serves runs serve until end is called, which returns its exit code.
func serves(t *testing.T, args ...string) (out *screen, end func() int) {
	ctx, stop := context.WithCancel(context.Background())
	out = &screen{}
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, append([]string{"serve", "--no-open"}, args...), strings.NewReader(""), out, out)
	}()
	end = sync.OnceValue(func() int { stop(); return <-ended })
	t.Cleanup(func() { end() })
	begun := func() bool { return strings.Contains(out.String(), "End with Ctrl-C") }
	require.Eventually(t, begun, 20*time.Second, 5*time.Millisecond, out.String())
	return out, end
}

var pairLink = regexp.MustCompile(`(https?://[0-9.]+:\d+)/pair\?code=([a-z2-7]+)`)

// A browser is paired by what serve shows, finds the pages at the same port after a restart, and is forgotten by --forget. The
// next code is shown when one was used.
func TestServePairsOnce(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.db")
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	browser := &http.Client{Jar: jar}
	pair := func(link []string) int {
		r, err := browser.PostForm(link[1]+"/pair", url.Values{"code": {link[2]}})
		require.NoError(t, err)
		_ = r.Body.Close()
		return r.StatusCode
	}
	home := func(base string) int {
		r, err := browser.Get(base + "/")
		require.NoError(t, err)
		_ = r.Body.Close()
		return r.StatusCode
	}
	out, end := serves(t, "--log", log, "--port", "0")
	first := pairLink.FindStringSubmatch(out.String())
	require.NotNil(t, first, out.String())
	require.Equal(t, http.StatusUnauthorized, home(first[1]))
	require.Equal(t, http.StatusOK, pair(first))
	require.Equal(t, http.StatusOK, home(first[1]))
	require.Eventually(t, func() bool { return strings.Contains(out.String(), "Next code") }, 5*time.Second, time.Millisecond)
	require.Zero(t, end())

	port := first[1][strings.LastIndexByte(first[1], ':')+1:]
	out, end = serves(t, "--log", log, "--port", port)
	require.Contains(t, out.String(), first[1])
	require.Equal(t, http.StatusOK, home(first[1]), "it is still paired")
	var said bytes.Buffer
	require.Zero(t, run(t.Context(), []string{"serve", "--forget", "--log", log}, strings.NewReader(""), &said, &said))
	require.Contains(t, said.String(), "forgotten: 1")
	require.Equal(t, http.StatusUnauthorized, home(first[1]))

	said.Reset()
	require.Equal(t, exitWrongUse, run(t.Context(), []string{"serve", "--log", log, "--port", port}, strings.NewReader(""), &said, &said))
	require.Contains(t, said.String(), "Port "+port)
	require.Zero(t, end())
	require.Equal(t, exitWrongUse, run(t.Context(), []string{"serve", "--log", log, "--tls"}, strings.NewReader(""), &said, &said))
}

// Without --port the port is always the same, and another where that is taken.
func TestServeHasAUsualPort(t *testing.T) {
	one, endOne := serves(t, "--log", filepath.Join(t.TempDir(), "log.db"))
	two, endTwo := serves(t, "--log", filepath.Join(t.TempDir(), "log.db"))
	require.Contains(t, one.String()+two.String(), "is taken, perhaps by another huewright")
	require.NotEqual(t, pairLink.FindStringSubmatch(one.String())[1], pairLink.FindStringSubmatch(two.String())[1])
	require.Zero(t, endOne())
	require.Zero(t, endTwo())
}

// Without a network of its own that is said, and a network that comes later is announced with a code.
func TestServeWithoutANetwork(t *testing.T) {
	out := &screen{}
	s := &serving{out: out, port: 8642, flags: &serveFlags{lan: true}}
	log, err := logbook.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), logbook.Options{Make: true})
	require.NoError(t, err)
	defer func() { _ = log.Close() }()
	s.server, err = web.New(log, web.Options{})
	require.NoError(t, err)
	s.sayNetwork(nil)
	require.Contains(t, out.String(), "No address in a private network was found")
	require.NotContains(t, out.String(), "pair?code")
	s.sayNetwork([]netip.Addr{netip.MustParseAddr("192.168.1.20")})
	require.Regexp(t, `http://192\.168\.1\.20:8642/pair\?code=[a-z2-7]{8}`, out.String())
}
