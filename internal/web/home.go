package web

import (
	"net/http"
	"strings"

	"huewright/internal/logbook"
	"huewright/internal/piece"
)

type homePage struct {
	Drafts []*Draft
	Logged []logbook.Piece // that have no draft
}

func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	all, err := s.drafts.all()
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	pieces, err := s.log.Pieces(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	page := homePage{Drafts: all}
	for _, p := range pieces {
		drafted := false
		for _, d := range all {
			drafted = drafted || strings.EqualFold(d.Piece.Name, p.Name)
		}
		if !drafted {
			page.Logged = append(page.Logged, p)
		}
	}
	s.show(w, r, http.StatusOK, "home", page)
}

// begin begins a piece.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	name, err := f.need("name", "the name of the piece")
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, err, "")
		return
	}
	all, err := s.drafts.all()
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	for _, d := range all {
		if strings.EqualFold(d.Piece.Name, name) {
			http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
			return
		}
	}
	if err := s.log.Write(r.Context(), func(w *logbook.Writer) error { return w.BeginOnce(name) }); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	d := &Draft{ID: token(8), Piece: piece.Piece{Name: name}, Changed: s.now(), Did: "beginning"}
	if err := s.drafts.begin(d); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
}
