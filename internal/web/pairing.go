package web

import (
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"huewright/internal/fault"
)

// codes pair browsers, each once and for a while.
type codes struct {
	now   func() time.Time
	mutex sync.Mutex
	until map[string]time.Time
	last  time.Time // when one was made
}

const (
	codeLasts  = 30 * time.Minute
	guessPause = 300 * time.Millisecond // before a wrong code is answered
	codePause  = 10 * time.Second       // between codes that follow wrong ones: who guesses does not fill the terminal
)

func (c *codes) make() string {
	code := randomText(5)
	c.mutex.Lock()
	defer c.mutex.Unlock()
	c.last = c.now()
	c.until[code] = c.last.Add(codeLasts)
	return code
}

// spend reports whether a code pairs a browser; it does so no more.
func (c *codes) spend(code string) bool {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	until, known := c.until[code]
	delete(c.until, code)
	return known && c.now().Before(until)
}

// due reports whether it is time for a new code after a wrong one.
func (c *codes) due() bool {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.now().Sub(c.last) >= codePause
}

// NewCode makes a code that pairs one browser within half an hour.
func (s *Server) NewCode() string { return s.codes.make() }

// announce makes a new code and shows it where the program was started.
func (s *Server) announce() {
	if s.say != nil {
		s.say(s.NewCode())
	}
}

// token is the token of a request's browser, and whether it is paired.
func (s *Server) token(w http.ResponseWriter, r *http.Request) (token string, paired bool) {
	c, err := r.Cookie(s.cookieName(r))
	if err != nil {
		return "", false
	}
	paired, again := s.browsers.known(c.Value)
	if again {
		s.setCookie(w, r, c.Value, rememberedFor)
	}
	return c.Value, paired
}

// cookieName is what the cookie is called: over https otherwise, as a browser lets no http page replace that one.
func (s *Server) cookieName(r *http.Request) string {
	if r.TLS != nil {
		return s.browsers.cookie + "-s"
	}
	return s.browsers.cookie
}

func (s *Server) setCookie(w http.ResponseWriter, r *http.Request, value string, lasts time.Duration) {
	http.SetCookie(w, &http.Cookie{
		Name: s.cookieName(r), Value: value, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: r.TLS != nil,
		MaxAge: int(lasts.Seconds()),
	})
}

// needPairing refuses browsers without the token of a pairing.
func (s *Server) needPairing(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, paired := s.token(w, r); !paired {
			if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
				s.show(w, r, http.StatusUnauthorized, "pair", pairPage{Open: isOpen(r)})
				return
			}
			http.Error(w, "this browser is not paired", http.StatusUnauthorized)
			return
		}
		next.ServeHTTP(w, r)
	})
}

type pairPage struct {
	Problem string
	Code    string
	Open    bool // what is sent can be read in the network
}

// isOpen reports whether a request came unencrypted from another machine.
func isOpen(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.Host)
	if err != nil {
		host = r.Host
	}
	ip := net.ParseIP(host)
	return r.TLS == nil && host != "localhost" && (ip == nil || !ip.IsLoopback())
}

// pair takes a code and gives a token for it. To look at the page spends no code: programs that preview links do that.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	if _, paired := s.token(w, r); paired && r.Method != http.MethodPost {
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, 1<<12)
	gap := func(r rune) bool { return r == ' ' || r == '-' }
	code := strings.ToLower(strings.Join(strings.FieldsFunc(oneLine(r.FormValue("code")), gap), ""))
	if r.Method != http.MethodPost || code == "" {
		s.show(w, r, http.StatusOK, "pair", pairPage{Code: code, Open: isOpen(r)})
		return
	}
	if !s.codes.spend(code) {
		if s.codes.due() {
			s.announce()
		}
		time.Sleep(guessPause)
		s.show(w, r, http.StatusForbidden, "pair", pairPage{Problem: s.speaker(r).Say(fault.Say("page.wrong-code")), Open: isOpen(r)})
		return
	}
	defer s.announce()
	kind := "computer"
	if strings.Contains(r.UserAgent(), "Mobi") {
		kind = "phone"
	}
	token, err := s.browsers.add(kind)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.setCookie(w, r, token, rememberedFor)
	// A page of our own between keeps the cookie on the next request, which comes from us.
	s.show(w, r, http.StatusOK, "paired", nil)
}

type browsersPage struct {
	This   pairedBrowser
	Others []pairedBrowser
	Open   bool
}

// browsersPage lists the paired browsers.
func (s *Server) browsersPage(w http.ResponseWriter, r *http.Request) error {
	all, err := s.browsers.all()
	if err != nil {
		return err
	}
	token, _ := s.token(w, r)
	page := browsersPage{Open: isOpen(r)}
	for _, b := range all {
		switch {
		case b.ID == idOf(token):
			page.This = b
		case s.now().Sub(b.Seen) <= rememberedFor:
			page.Others = append(page.Others, b)
		}
	}
	s.show(w, r, http.StatusOK, "browsers", page)
	return nil
}

// forget forgets this browser, all others, or one of them.
func (s *Server) forget(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	token, _ := s.token(w, r)
	which, this := f.text("which"), idOf(token)
	_, err = s.browsers.forget(func(b pairedBrowser) bool {
		switch which {
		case "this":
			return b.ID == this
		case "others":
			return b.ID != this
		}
		return b.ID == which
	})
	if err != nil {
		return err
	}
	if which == "this" || which == this {
		s.setCookie(w, r, "", -time.Second)
		s.announce()
		s.show(w, r, http.StatusOK, "pair", pairPage{Problem: s.speaker(r).Say(fault.Say("page.logged-out")), Open: isOpen(r)})
		return nil
	}
	http.Redirect(w, r, "/browsers", http.StatusSeeOther)
	return nil
}
