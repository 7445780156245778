package web

import (
	"io/fs"
	"net/http"
	"strings"
	"unicode/utf8"
)

// contentPolicy lets our pages show what comes from here, and nothing else.
const contentPolicy = "default-src 'none'; img-src 'self' data: blob:; script-src 'self'; style-src 'self'; " +
	"connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"

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

// AllowHost lets requests name a host:port, such as 127.0.0.1:8080; RefuseHost lets them no more.
func (s *Server) AllowHost(host string) { s.hosts.Store(host, true) }

// RefuseHost is the opposite of AllowHost.
func (s *Server) RefuseHost(host string) { s.hosts.Delete(host) }

func (s *Server) isOurs(host string) bool {
	_, ours := s.hosts.Load(host)
	return ours
}

// knownHost refuses requests that name a host that is not ours: another site's name could be made to point here
// (DNS rebinding).
func (s *Server) knownHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.isOurs(r.Host) {
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
