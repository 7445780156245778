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
	defer s.tryout.end()
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

	paired := http.NewServeMux()
	if s.single {
		mux.Handle("/", paired)
	} else {
		mux.HandleFunc("GET /pair", s.pair)
		mux.HandleFunc("POST /pair", s.pair)
		paired.HandleFunc("GET /browsers", s.answer((*Server).browsersPage))
		paired.HandleFunc("POST /browsers", s.answer((*Server).forget))
		mux.Handle("/", s.needPairing(paired))
	}
	for pattern, page := range map[string]page{
		"GET /{$}":                        (*Server).home,
		"POST /piece":                     (*Server).begin,
		"POST /begin":                     (*Server).beginWithPhotos,
		"POST /demo":                      (*Server).beginDemo,
		"POST /demo/remove":               (*Server).removeDemo,
		"GET /piece/{id}":                 (*Server).piece,
		"GET /piece/{id}/{screen}":        (*Server).screen,
		"POST /piece/{id}/do":             (*Server).do,
		"POST /piece/{id}/photo":          (*Server).addPhotos,
		"POST /piece/{id}/spot":           (*Server).spot,
		"POST /piece/{id}/drawn":          (*Server).drawDemo,
		"POST /piece/{id}/fit":            (*Server).fit,
		"POST /piece/{id}/tap":            (*Server).tap,
		"GET /piece/{id}/preview/{photo}": (*Server).preview,
		"GET /piece/{id}/strip/{area}":    (*Server).strip,
		"GET /piece/{id}/log":             (*Server).historyOfDraft,
		"GET /piece/{id}/card":            (*Server).card,
		"GET /piece/{id}/client":          (*Server).client,
		"GET /piece/{id}/client.pdf":      (*Server).clientPDF,
		"GET /piece/{id}/card.pdf":        (*Server).cardPDF,
		"GET /piece/{id}/coats.ics":       (*Server).calendar,
		"GET /photo/{hash}":               (*Server).photo,
		"GET /log":                        (*Server).logPage,
		"POST /log/save":                  (*Server).saveLog,
		"POST /log/saved":                 (*Server).noteSaved,
		"POST /log/export":                (*Server).exportLog,
		"POST /log/take-in":               (*Server).takeIn,
		"POST /log/found":                 (*Server).saveFound,
		"POST /log/found/remove":          (*Server).removeFound,
		"GET /log/{piece}":                (*Server).history,
		"GET /shelf":                      (*Server).shelf,
		"GET /help":                       (*Server).help,
		"/": func(*Server, http.ResponseWriter, *http.Request) error {
			return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
		},
	} {
		paired.HandleFunc(pattern, s.answer(page))
	}

	var guarded http.Handler = http.NewCrossOriginProtection().Handler(mux)
	if s.single {
		guarded = s.alone(guarded)
	}
	return s.knownHost(headers(guarded))
}
