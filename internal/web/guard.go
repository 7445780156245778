package web

import (
	"crypto/subtle"
	"io/fs"
	"net/http"
	"strings"
	"time"
	"unicode/utf8"
)

// contentPolicy lets our pages show what comes from here, and nothing else.
const contentPolicy = "default-src 'none'; img-src 'self' data: blob:; script-src 'self'; style-src 'self'; " +
	"connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

// headers say what a browser may do with our pages.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// filesOnly serves files, and lists no folder.
func filesOnly(folder fs.FS) http.Handler {
	serve := http.FileServerFS(folder)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if info, err := fs.Stat(folder, r.URL.Path); err != nil || info.IsDir() {
			http.NotFound(w, r)
			return
		}
		serve.ServeHTTP(w, r)
	})
}

func cached(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "private, max-age=60")
		next.ServeHTTP(w, r)
	})
}

// knownHost refuses requests that name a host that is not ours: another site's name could be made to point here
// (DNS rebinding).
func (s *Server) knownHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.hosts[r.Host] {
			http.Error(w, "this is not a name of this program", http.StatusMisdirectedRequest)
			return
		}
		if !utf8.ValidString(r.URL.Path) || strings.ContainsRune(r.URL.Path, 0) {
			http.Error(w, "there is no such page", http.StatusBadRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

const cookieName = "huewright"

// needPairing refuses browsers without the token of a pairing.
func (s *Server) needPairing(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if c, err := r.Cookie(cookieName); err != nil || !s.isPaired(c.Value) {
			if r.Method == http.MethodGet && strings.Contains(r.Header.Get("Accept"), "text/html") {
				s.show(w, r, http.StatusUnauthorized, "pair", pairPage{})
				return
			}
			http.Error(w, "this browser is not paired", http.StatusUnauthorized)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) isPaired(value string) bool {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for t := range s.tokens {
		if subtle.ConstantTimeCompare([]byte(t), []byte(value)) == 1 {
			return true
		}
	}
	return false
}

// NewCode makes a code that pairs one browser.
func (s *Server) NewCode() string {
	code := randomText(5)
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.codes[code] = true
	return code
}

type pairPage struct{ Problem string }

const unknownCode = "That code is not known, or was used already. The program shows a new one where it was started."

// pair takes a code and gives a token for it.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<12)
	gap := func(r rune) bool { return r == ' ' || r == '-' }
	code := strings.ToLower(strings.Join(strings.FieldsFunc(r.FormValue("code"), gap), ""))
	if code == "" {
		s.show(w, r, http.StatusOK, "pair", pairPage{})
		return
	}
	s.mutex.Lock()
	known := s.codes[code]
	delete(s.codes, code)
	value := randomText(20)
	if known {
		s.tokens[value] = true
	}
	s.mutex.Unlock()
	if !known {
		time.Sleep(300 * time.Millisecond) // guessing is slow
		s.show(w, r, http.StatusForbidden, "pair", pairPage{unknownCode})
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: value, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 30 * 24 * 3600,
	})
	// A page of our own between keeps the cookie on the next request, which comes from us.
	s.show(w, r, http.StatusOK, "paired", nil)
}
