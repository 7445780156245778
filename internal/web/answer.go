package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"syscall"

	"huewright/internal/fault"
	"huewright/internal/words"
)

// A page answers a request, or returns why it cannot: a *failure, or, for a fault of ours, any other error.
type page func(s *Server, w http.ResponseWriter, r *http.Request) error

// A failure is an error with the HTTP status that it is answered with.
type failure struct {
	status int
	error
}

func (f *failure) Unwrap() error { return f.error }

// failed gives an error its status; nil stays nil.
func failed(status int, err error) error {
	if err == nil {
		return nil
	}
	return &failure{status: status, error: err}
}

// unprocessable is the failure of a request that makes no sense.
func unprocessable(err error) error { return failed(http.StatusUnprocessableEntity, err) }

// answer answers with a page, or says why there is none.
func (s *Server) answer(p page) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		at, leave, err := s.serving(r)
		if err != nil {
			s.fail(w, r, err)
			return
		}
		defer leave()
		if err := p(at, w, r); err != nil {
			at.fail(w, r, err)
		}
	}
}

// show writes a page from its template. It never returns an error: whoever asked is told.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name string, data any) {
	var out strings.Builder
	if err := s.pages.ExecuteTemplate(&out, name, data); err != nil {
		http.Error(w, "the page could not be made: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = fmt.Fprint(w, s.placed(out.String())) // whoever asked may be gone
	}
}

// write answers with bytes of a type; name is how a browser saves them, "" for a page.
func write(w http.ResponseWriter, mediaType, disposition string, data []byte) {
	w.Header().Set("Content-Type", mediaType)
	if disposition != "" {
		w.Header().Set("Content-Disposition", disposition)
	}
	_, _ = w.Write(data) // whoever asked may be gone
}

type failPage struct {
	Problem, Hint string
	Detail        string // for whoever mends the program; "" for none
	Back          string
}

// fail says on a page what went wrong.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	f := &failure{status: statusOf(err), error: err}
	_ = errors.As(err, &f)
	status, told, detail := f.status, f.error, ""
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		status, told = http.StatusRequestEntityTooLarge, fault.New(fault.Use, "page.too-large", "megabytes", int(large.Limit>>20))
	case errors.Is(err, errBusy):
		status = http.StatusServiceUnavailable
		w.Header().Set("Retry-After", "3")
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		status = 499
	case errors.Is(err, syscall.ENOSPC):
		status, told = http.StatusInsufficientStorage, fault.New(fault.File, "file.disk-full")
	case fault.Of(err) == nil:
		told, detail = fault.New(fault.File, "page.unforeseen"), err.Error()
	}
	says, hint := s.speaker(r).Fault(told)
	s.show(w, r, status, "fail", failPage{Problem: says, Hint: hint, Detail: detail, Back: backOf(r)})
}

// statusOf is the status of an error that was given none.
func statusOf(err error) int {
	switch fault.KindOf(err) {
	case fault.Use, fault.Photo:
		return http.StatusUnprocessableEntity
	case fault.Slow:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

// speaker says what the page of a request says: in the units of its piece, where it has one.
func (s *Server) speaker(r *http.Request) words.Speaker {
	if id := r.PathValue("id"); id != "" {
		if d, err := s.drafts.load(id); err == nil {
			return speakerOf(d)
		}
	}
	return words.Speaker{Voice: words.Page, Plain: true}
}

func speakerOf(d *pieceDraft) words.Speaker {
	return words.Speaker{Voice: words.Page, Plain: true, US: d.Piece.Units == "us"}
}

func backOf(r *http.Request) string {
	if id := r.PathValue("id"); id != "" {
		return "/piece/" + id
	}
	return "/"
}
