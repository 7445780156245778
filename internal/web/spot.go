package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"huewright/internal/report"
	"huewright/internal/workshop"
)

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
