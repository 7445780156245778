package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"huewright/internal/report"
	"huewright/internal/workshop"
)

// draftOf finds the draft of a request, or says that there is none.
func (s *Server) draftOf(w http.ResponseWriter, r *http.Request) *Draft {
	d, err := s.drafts.load(r.PathValue("id"))
	switch {
	case errors.Is(err, errNoDraft):
		s.fail(w, r, http.StatusNotFound, err, "go back to the pieces")
		return nil
	case err != nil:
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return nil
	}
	return d
}

func (s *Server) piece(w http.ResponseWriter, r *http.Request) {
	if d := s.draftOf(w, r); d != nil {
		m, _ := s.planned(r.Context(), d) // where that fails there is still the piece, to be planned again
		s.show(w, r, http.StatusOK, "piece", s.pieceView(r.Context(), d, m))
	}
}

// do does what a form of a piece's page asks for, and shows the piece again.
func (s *Server) do(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	id, st := r.PathValue("id"), stepNamed(f.text("do"))
	if st == nil {
		s.fail(w, r, http.StatusUnprocessableEntity, &wrong{"there is nothing of that kind to do", "go back and choose it again"}, "")
		return
	}
	if err := st.do(r.Context(), s, id, f); err != nil {
		status := http.StatusUnprocessableEntity
		if errors.Is(err, errNoDraft) {
			status = http.StatusNotFound
		}
		s.fail(w, r, status, err, "")
		return
	}
	http.Redirect(w, r, "/piece/"+id+"#"+st.at, http.StatusSeeOther)
}

type spotAnswer struct {
	Says    string `json:"says"`
	Hex     string `json:"hex"`
	Problem string `json:"problem,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// spot reads an outline that has just been drawn.
func (s *Server) spot(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	d, err := s.drafts.load(r.PathValue("id"))
	var answer spotAnswer
	var spot workshop.SpotReading
	if err == nil {
		var done func()
		if done, err = s.turn(r.Context()); err == nil {
			spot, err = workshop.ReadSpot(r.Context(), s.album, &d.Piece, f.text("photo"), f.text("outline"))
			done()
		}
	}
	if err != nil {
		answer.Problem = err.Error()
		var hinted interface{ Hint() string }
		if errors.As(err, &hinted) {
			answer.Hint = hinted.Hint()
		}
	} else {
		answer.Says, answer.Hex = report.LabWords(spot.Lab, spot.PlusMinus), report.HexOf(spot.Lab)
		if len(spot.Warnings) > 0 {
			answer.Hint = strings.Join(spot.Warnings, "; ")
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(answer) // whoever asked may be gone
}
