package web

import (
	"crypto/tls"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// asksOf sends a request of a browser that has some cookies, without a network.
func asksOf(s *Server, method, path, body string, cookies ...*http.Cookie) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://bench.test"+path, strings.NewReader(body))
	if body != "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	r.Header.Set("Accept", "text/html")
	r.Header.Set("User-Agent", "Mobile")
	for _, c := range cookies {
		if c != nil {
			r.AddCookie(c)
		}
	}
	w := httptest.NewRecorder()
	s.handler().ServeHTTP(w, r)
	return w
}

func pairsWith(t *testing.T, s *Server, code string) *http.Cookie {
	t.Helper()
	w := asksOf(s, http.MethodPost, "/pair", "code="+code)
	require.Equal(t, http.StatusOK, w.Code, w.Body.String())
	require.Len(t, w.Result().Cookies(), 1)
	return w.Result().Cookies()[0]
}

// clock is set by hand.
type clock struct {
	mutex sync.Mutex
	t     time.Time
}

func (c *clock) now() time.Time { c.mutex.Lock(); defer c.mutex.Unlock(); return c.t }
func (c *clock) on(d time.Duration) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.t = c.t.Add(d)
}

// overLog is a server over a log, with a clock, and the codes that it shows.
func overLog(t *testing.T, path string, c *clock) (s *Server, shown *[]string) {
	log := must(openLog(path))
	t.Cleanup(func() { _ = log.Close() })
	shown = &[]string{}
	s, err := New(log, Options{Hosts: []string{"bench.test"}, Now: c.now, NewCode: func(code string) { *shown = append(*shown, code) }})
	require.NoError(t, err)
	return s, shown
}

// Pairing outlasts the program, is refreshed by use, and ends when it is forgotten or was not used for long. What is on the
// disk does not pass for a token.
func TestPairingOutlastsTheProgram(t *testing.T) {
	path, c := filepath.Join(t.TempDir(), "log.db"), &clock{t: time.Unix(1.7e9, 0)}
	s, _ := overLog(t, path, c)
	phone := pairsWith(t, s, s.NewCode())
	require.True(t, phone.HttpOnly)
	require.Equal(t, http.SameSiteStrictMode, phone.SameSite)

	s, _ = overLog(t, path, c)
	require.Equal(t, http.StatusOK, asksOf(s, http.MethodGet, "/", "", phone).Code)
	files, err := os.ReadDir(s.browsers.folder)
	require.NoError(t, err)
	for _, f := range files {
		data, err := os.ReadFile(filepath.Join(s.browsers.folder, f.Name()))
		require.NoError(t, err)
		require.NotContains(t, f.Name()+string(data), phone.Value)
		info, err := f.Info()
		require.NoError(t, err)
		require.Zero(t, info.Mode()&0o077, "for its owner alone")
		stolen := *phone
		stolen.Value = strings.TrimSuffix(f.Name(), ".json")
		require.Equal(t, http.StatusUnauthorized, asksOf(s, http.MethodGet, "/", "", &stolen).Code)
	}
	for range 5 {
		c.on(rememberedFor - time.Hour)
		w := asksOf(s, http.MethodGet, "/", "", phone)
		require.Equal(t, http.StatusOK, w.Code)
		require.Equal(t, int(rememberedFor.Seconds()), w.Result().Cookies()[0].MaxAge)
	}
	c.on(rememberedFor + time.Hour)
	require.Equal(t, http.StatusUnauthorized, asksOf(s, http.MethodGet, "/", "", phone).Code)

	phone = pairsWith(t, s, s.NewCode())
	n, err := ForgetBrowsers(path)
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.Equal(t, http.StatusUnauthorized, asksOf(s, http.MethodGet, "/", "", phone).Code, "while the server runs")
	n, err = ForgetBrowsers(filepath.Join(t.TempDir(), "none.db"))
	require.NoError(t, err)
	require.Zero(t, n)
}

// A browser sees which are paired, forgets others, one or all, and logs itself out.
func TestBrowsersAreListed(t *testing.T) {
	s, shown := overLog(t, filepath.Join(t.TempDir(), "log.db"), &clock{t: time.Unix(1.7e9, 0)})
	var all []*http.Cookie
	for range 4 {
		all = append(all, pairsWith(t, s, s.NewCode()))
	}
	works := func(c *http.Cookie) bool { return asksOf(s, http.MethodGet, "/", "", c).Code == http.StatusOK }
	page := asksOf(s, http.MethodGet, "/browsers", "", all[0]).Body.String()
	others := regexp.MustCompile(`name="which" value="([0-9a-f]{64})"`).FindAllStringSubmatch(page, -1)
	require.Len(t, others, 3)
	require.Contains(t, page, "A phone")
	for _, c := range all {
		require.NotContains(t, page, c.Value)
	}
	require.Equal(t, http.StatusSeeOther, asksOf(s, http.MethodPost, "/browsers", "which="+idOf(all[1].Value), all[0]).Code)
	require.False(t, works(all[1]))
	require.True(t, works(all[2]))
	require.Equal(t, http.StatusSeeOther, asksOf(s, http.MethodPost, "/browsers", "which=others", all[0]).Code)
	require.True(t, works(all[0]))
	require.False(t, works(all[2]) || works(all[3]))
	before := len(*shown)
	w := asksOf(s, http.MethodPost, "/browsers", "which=this", all[0])
	require.Equal(t, http.StatusOK, w.Code)
	require.Negative(t, w.Result().Cookies()[0].MaxAge)
	require.False(t, works(all[0]))
	require.Len(t, *shown, before+1, "with which it may come back")
}

// A code works once and for half an hour; a new one is shown when one is spent or wrong, but not as fast as somebody guesses.
func TestCodes(t *testing.T) {
	c := &clock{t: time.Unix(1.7e9, 0)}
	s, shown := overLog(t, filepath.Join(t.TempDir(), "log.db"), c)
	code := s.NewCode()
	for _, path := range []string{"/pair?code=" + code, "/pair"} { // previews of links, and curious programs
		for _, method := range []string{http.MethodHead, http.MethodGet} {
			w := asksOf(s, method, path, "")
			require.Equal(t, http.StatusOK, w.Code)
			require.Empty(t, w.Result().Cookies())
		}
	}
	require.Contains(t, asksOf(s, http.MethodGet, "/pair?code="+code, "").Body.String(), `value="`+code+`"`)
	c.on(codeLasts - time.Second)
	require.Empty(t, *shown)
	phone := pairsWith(t, s, strings.ToUpper(code[:4])+"-"+code[4:]+" ")
	require.Len(t, *shown, 1, "the next browser finds a code")
	require.Equal(t, http.StatusForbidden, asksOf(s, http.MethodPost, "/pair", "code="+code).Code)
	pairsWith(t, s, (*shown)[0])
	require.Equal(t, http.StatusSeeOther, asksOf(s, http.MethodGet, "/pair?code="+(*shown)[1], "", phone).Code, "it is paired already")
	pairsWith(t, s, (*shown)[1])

	old := s.NewCode()
	c.on(codeLasts + time.Second)
	n := len(*shown)
	require.Equal(t, http.StatusForbidden, asksOf(s, http.MethodPost, "/pair", "code="+old).Code, "too old")
	require.Len(t, *shown, n+1)
	for range 3 {
		require.Equal(t, http.StatusForbidden, asksOf(s, http.MethodPost, "/pair", "code=guessed1").Code)
	}
	require.Len(t, *shown, n+1, "within ten seconds")
	c.on(codePause)
	require.Equal(t, http.StatusForbidden, asksOf(s, http.MethodPost, "/pair", "code=guessed1").Code)
	require.Len(t, *shown, n+2)
	pairsWith(t, s, (*shown)[n])
}

// Cookies know no ports: two servers on one host, each with its own log, must not take each other's.
func TestTwoServersOnOneHost(t *testing.T) {
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	one, two := paired(t), paired(t)
	client := &http.Client{Jar: jar}
	for range 2 {
		for _, v := range []*visitor{one, two} {
			r, err := client.PostForm(v.base+"/pair", url.Values{"code": {v.s.NewCode()}})
			require.NoError(t, err)
			_ = r.Body.Close()
		}
	}
	for range 2 {
		for _, v := range []*visitor{one, two} {
			r, err := client.Get(v.base + "/")
			require.NoError(t, err)
			_ = r.Body.Close()
			require.Equal(t, http.StatusOK, r.StatusCode)
		}
	}
}

// Over http from another machine the pages say what that means; over https the cookie goes nowhere else.
func TestOpenNetworksAreNamed(t *testing.T) {
	s, _ := overLog(t, filepath.Join(t.TempDir(), "log.db"), &clock{t: time.Unix(1.7e9, 0)})
	s.AllowHost("127.0.0.1:8642")
	s.AllowHost("localhost:8642")
	for target, open := range map[string]bool{
		"http://bench.test/pair": true, "https://bench.test/pair": false,
		"http://127.0.0.1:8642/pair": false, "http://localhost:8642/pair": false,
	} {
		w := httptest.NewRecorder()
		s.handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, target, nil))
		require.Equal(t, open, strings.Contains(w.Body.String(), "not encrypted"), target)
	}
	r := httptest.NewRequest(http.MethodPost, "https://bench.test/pair", strings.NewReader("code="+s.NewCode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.TLS = &tls.ConnectionState{}
	w := httptest.NewRecorder()
	s.handler().ServeHTTP(w, r)
	body, err := io.ReadAll(w.Result().Body)
	require.NoError(t, err)
	require.Len(t, w.Result().Cookies(), 1, string(body))
	require.True(t, w.Result().Cookies()[0].Secure)
}
