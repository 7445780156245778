package web

import (
	"net/http"
	"strings"
)

// Handler answers requests where there is no listener, as in a browser that runs the program itself.
func (s *Server) Handler() http.Handler { return s.handler() }

// alone serves pages that one person alone can ask for, below a path and within a frame of the same host.
func (s *Server) alone(next http.Handler) http.Handler {
	return http.StripPrefix(s.under, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		next.ServeHTTP(&aloneWriter{ResponseWriter: w, under: s.under}, r)
	}))
}

type aloneWriter struct {
	http.ResponseWriter
	under string
	begun bool
}

// WriteHeader leads where the pages lie, and lets our own frame show them.
func (w *aloneWriter) WriteHeader(status int) {
	w.begun = true
	h := w.Header()
	if to := h.Get("Location"); strings.HasPrefix(to, "/") {
		h.Set("Location", w.under+to)
	}
	h.Set("Content-Security-Policy", strings.Replace(h.Get("Content-Security-Policy"), "frame-ancestors 'none'", "frame-ancestors 'self'", 1))
	w.ResponseWriter.WriteHeader(status)
}

func (w *aloneWriter) Write(data []byte) (int, error) {
	if !w.begun {
		w.WriteHeader(http.StatusOK)
	}
	return w.ResponseWriter.Write(data)
}

// placed puts the path below which the pages lie before each address in a page of ours. Templates write such an address
// as ="/…", and nothing that somebody typed has that: its quotation marks are escaped.
func (s *Server) placed(html string) string {
	if s.under == "" {
		return html
	}
	return strings.ReplaceAll(html, `="/`, `="`+s.under+`/`)
}
