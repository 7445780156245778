package web

import (
	"context"
	"errors"
	"io/fs"
	"net"
	"net/http"
	"time"

	"huewright/internal/fault"
)

// Serve answers on a listener until ctx ends, and then for up to a second what was asked before.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	server := &http.Server{
		Handler: s.handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 3 * time.Minute,
		WriteTimeout: 5 * time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 1 << 15,
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

// handler is every page, behind the guards of guard.go.
func (s *Server) handler() http.Handler {
	mux := http.NewServeMux()
	static, err := fs.Sub(files, "static")
	if err != nil {
		panic(err) // it is built in
	}
	mux.Handle("GET /static/", http.StripPrefix("/static/", cached(filesOnly(static))))
	mux.HandleFunc("GET /pair", s.pair)
	mux.HandleFunc("POST /pair", s.pair)

	paired := http.NewServeMux()
	mux.Handle("/", s.needPairing(paired))
	for pattern, page := range map[string]page{
		"GET /{$}":                        s.home,
		"POST /piece":                     s.begin,
		"POST /begin":                     s.beginWithPhotos,
		"GET /piece/{id}":                 s.piece,
		"GET /piece/{id}/{screen}":        s.screen,
		"POST /piece/{id}/do":             s.do,
		"POST /piece/{id}/photo":          s.addPhotos,
		"POST /piece/{id}/spot":           s.spot,
		"POST /piece/{id}/tap":            s.tap,
		"GET /piece/{id}/preview/{photo}": s.preview,
		"GET /piece/{id}/strip/{area}":    s.strip,
		"GET /piece/{id}/card":            s.card,
		"GET /piece/{id}/client":          s.client,
		"GET /piece/{id}/client.pdf":      s.clientPDF,
		"GET /piece/{id}/card.pdf":        s.cardPDF,
		"GET /piece/{id}/coats.ics":       s.calendar,
		"GET /photo/{hash}":               s.photo,
		"GET /log":                        s.logPage,
		"GET /log/{piece}":                s.history,
		"GET /shelf":                      s.shelf,
		"GET /help":                       s.help,
		"GET /browsers":                   s.browsersPage,
		"POST /browsers":                  s.forget,
		"/": func(http.ResponseWriter, *http.Request) error {
			return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
		},
	} {
		paired.HandleFunc(pattern, s.answer(page))
	}

	guarded := http.NewCrossOriginProtection().Handler(mux)
	return s.knownHost(headers(guarded))
}
