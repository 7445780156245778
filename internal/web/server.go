package web

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"embed"
	"encoding/base32"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
)

//go:embed static pages
var files embed.FS

// A Server answers for the pages.
type Server struct {
	log     *logbook.Log
	album   *record.Album
	drafts  *drafts
	plans   *plans
	program string
	pages   *template.Template
	now     func() time.Time

	hosts map[string]bool // host:port that requests may name

	mutex  sync.Mutex
	codes  map[string]bool // that pair a browser, each once
	tokens map[string]bool // of paired browsers

	heavy   chan struct{} // one at a time decodes and plans
	waiting chan struct{} // so many may wait for it
}

// Options say how the pages are served.
type Options struct {
	Hosts   []string // host:port that requests may name, such as 127.0.0.1:8080
	Program string   // version
	Now     func() time.Time
	Limits  piece.Limits // of photos and pieces
}

const (
	openPhotos = 3           // kept open
	planPixels = 300_000_000 // of photos of plans that are kept to be shown: half a gigabyte
	mostWaits  = 60          // requests for heavy work at once; more are told to come again
)

// New makes a server over an open log.
func New(log *logbook.Log, opt Options) (*Server, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	s := &Server{
		log: log, album: record.NewAlbum(log, openPhotos), program: opt.Program, now: opt.Now,
		hosts: map[string]bool{}, codes: map[string]bool{}, tokens: map[string]bool{},
		heavy: make(chan struct{}, 1), waiting: make(chan struct{}, mostWaits),
	}
	for _, h := range opt.Hosts {
		s.hosts[h] = true
	}
	s.album.Limits = opt.Limits
	var err error
	if s.drafts, err = openDrafts(strings.TrimSuffix(log.Path(), ".db") + "-bench"); err != nil {
		return nil, err
	}
	s.plans = newPlans(planPixels)
	s.pages, err = template.New("").Funcs(pageFunctions).ParseFS(files, "pages/*.html")
	return s, err
}

// NewCode makes a code that pairs one browser.
func (s *Server) NewCode() string {
	code := token(5)
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.codes[code] = true
	return code
}

// token is so many bytes of chance, in letters and digits.
func token(bytes int) string {
	b := make([]byte, bytes)
	_, _ = rand.Read(b) // never fails
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
}

const cookieName = "huewright"

// Handler answers requests.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	static, err := fs.Sub(files, "static")
	if err != nil {
		panic(err) // it is built in
	}
	mux.Handle("GET /static/", http.StripPrefix("/static/", cached(http.FileServerFS(static))))
	mux.HandleFunc("GET /pair", s.pair)
	mux.HandleFunc("POST /pair", s.pair)

	paired := http.NewServeMux()
	mux.Handle("/", s.needPairing(paired))
	paired.HandleFunc("GET /{$}", s.home)
	paired.HandleFunc("POST /piece", s.begin)
	paired.HandleFunc("GET /piece/{id}", s.piece)
	paired.HandleFunc("POST /piece/{id}/do", s.do)
	paired.HandleFunc("POST /piece/{id}/photo", s.addPhoto)
	paired.HandleFunc("POST /piece/{id}/spot", s.spot)
	paired.HandleFunc("GET /piece/{id}/preview/{photo}", s.preview)
	paired.HandleFunc("GET /piece/{id}/strip/{area}", s.strip)
	paired.HandleFunc("GET /piece/{id}/card", s.card)
	paired.HandleFunc("GET /piece/{id}/card.pdf", s.cardPDF)
	paired.HandleFunc("GET /piece/{id}/coats.ics", s.calendar)
	paired.HandleFunc("GET /photo/{hash}", s.photo)
	paired.HandleFunc("GET /log", s.logPage)
	paired.HandleFunc("GET /log/{piece}", s.history)
	paired.HandleFunc("GET /shelf", s.shelf)
	paired.HandleFunc("GET /help", s.help)
	paired.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, http.StatusNotFound, errors.New("there is no such page"), "go back to the pieces")
	})

	guarded := http.NewCrossOriginProtection().Handler(mux)
	return s.knownHost(headers(guarded))
}

// headers say what a browser may do with our pages: nothing but show them, with what comes from here.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; img-src 'self' data: blob:; script-src 'self'; style-src 'self'; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

func cached(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "private, max-age=60")
		next.ServeHTTP(w, r)
	})
}

// knownHost refuses requests that name a host that is not ours: a page elsewhere could have its own
// name point here.
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

type pairPage struct{ Problem string }

// pair takes a code and gives a token for it.
func (s *Server) pair(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<12)
	code := strings.ToLower(strings.Join(strings.FieldsFunc(r.FormValue("code"), func(r rune) bool { return r == ' ' || r == '-' }), ""))
	if code == "" {
		s.show(w, r, http.StatusOK, "pair", pairPage{})
		return
	}
	s.mutex.Lock()
	known := s.codes[code]
	delete(s.codes, code)
	value := token(20)
	if known {
		s.tokens[value] = true
	}
	s.mutex.Unlock()
	if !known {
		time.Sleep(300 * time.Millisecond) // guessing is slow
		s.show(w, r, http.StatusForbidden, "pair", pairPage{"That code is not known, or was used already. The program shows a new one where it was started."})
		return
	}
	http.SetCookie(w, &http.Cookie{Name: cookieName, Value: value, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: 30 * 24 * 3600})
	// A page of our own between keeps the cookie on the next request, which comes from us.
	s.show(w, r, http.StatusOK, "paired", nil)
}

// turn waits for the turn to do heavy work. It is not ok where too many wait, or whoever asked is gone.
func (s *Server) turn(ctx context.Context) (done func(), err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case s.waiting <- struct{}{}:
	default:
		return nil, errBusy
	}
	select {
	case s.heavy <- struct{}{}:
		return func() { <-s.heavy; <-s.waiting }, nil
	case <-ctx.Done():
		<-s.waiting
		return nil, ctx.Err()
	}
}

var errBusy = errors.New("too many are asking at once")

// Serve answers on a listener until ctx ends.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{
		Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 3 * time.Minute, WriteTimeout: 5 * time.Minute, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 1 << 15,
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	rest, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	err := server.Shutdown(rest)
	if errors.Is(err, context.DeadlineExceeded) {
		return server.Close()
	}
	return err
}

// show writes a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, data any) {
	var out strings.Builder
	if err := s.pages.ExecuteTemplate(&out, name, data); err != nil {
		http.Error(w, "the page could not be made: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = fmt.Fprint(w, out.String()) // whoever asked may be gone
	}
}

type failPage struct {
	Problem, Hint string
	Back          string
}

// fail says what went wrong, on a page or in a line.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, err error, hint string) {
	var hinted interface{ Hint() string }
	if hint == "" && errors.As(err, &hinted) {
		hint = hinted.Hint()
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		status, err, hint = http.StatusRequestEntityTooLarge, fmt.Errorf("this is larger than %d MB", large.Limit>>20), "send one photo at a time, or a smaller one"
	case errors.Is(err, errBusy):
		status, hint = http.StatusServiceUnavailable, "wait a moment and ask again"
		w.Header().Set("Retry-After", "3")
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		status = 499
	}
	s.show(w, r, status, "fail", failPage{Problem: err.Error(), Hint: hint, Back: backOf(r)})
}

func backOf(r *http.Request) string {
	if id := r.PathValue("id"); id != "" {
		return "/piece/" + id
	}
	return "/"
}
