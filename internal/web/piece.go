package web

import (
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type homePage struct {
	Drafts  []*pieceDraft
	Damaged []error         // drafts that cannot be read
	Logged  []logbook.Piece // that have no draft
}

// home lists the pieces.
func (s *Server) home(w http.ResponseWriter, r *http.Request) error {
	drafts, damaged, err := s.drafts.all()
	if err != nil {
		return err
	}
	logged, err := s.log.Pieces(r.Context())
	if err != nil {
		return err
	}
	logged = slices.DeleteFunc(logged, func(p logbook.Piece) bool { return draftNamed(drafts, p.Name) != nil })
	s.show(w, r, http.StatusOK, "home", homePage{drafts, damaged, logged})
	return nil
}

// draftNamed is the draft of a piece, whatever the case of its name; nil for none.
func draftNamed(drafts []*pieceDraft, name string) *pieceDraft {
	for _, d := range drafts {
		if strings.EqualFold(d.Piece.Name, name) {
			return d
		}
	}
	return nil
}

// begin begins a piece, or shows the one of that name.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	name, err := f.required("name", "the name of the piece")
	if err != nil {
		return unprocessable(err)
	}
	drafts, _, err := s.drafts.all()
	if err != nil {
		return err
	}
	d := draftNamed(drafts, name)
	if d == nil {
		if err := s.log.Write(r.Context(), func(w *logbook.Writer) error { return w.BeginOnce(name) }); err != nil {
			return err
		}
		d = &pieceDraft{ID: randomText(8), Piece: piece.Piece{Name: name}, Changed: s.now(), Did: "beginning"}
		if err := s.drafts.begin(d); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
	return nil
}

// draftOf finds the draft of a request.
func (s *Server) draftOf(r *http.Request) (*pieceDraft, error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if errors.Is(err, errNoDraft) {
		return nil, failed(http.StatusNotFound, err)
	}
	return d, err
}

// piece shows the page of a piece.
func (s *Server) piece(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	m, err := s.planned(r.Context(), d)
	if err != nil {
		m = &shownPlan{fault: err} // there is still the piece, to be planned again
	}
	s.show(w, r, http.StatusOK, "piece", s.pieceView(r.Context(), d, m))
	return nil
}

// do does what a form of a piece's page asks for, and shows the piece again.
func (s *Server) do(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	id, st := r.PathValue("id"), stepNamed(f.text("do"))
	if st == nil {
		return unprocessable(fault.New(fault.Use, "page.no-step"))
	}
	var both *conflictError
	err = st.do(r.Context(), s, stepRequest{id: id, form: f, seen: r.URL.Query().Get("seen"), over: r.URL.Query().Get("over")})
	switch {
	case errors.As(err, &both):
		says, hint := s.speaker(r).Fault(err)
		s.show(w, r, http.StatusConflict, "conflict", conflictPage{
			Problem: says, Hint: hint, Conflicts: both.all, Fields: f.Values, Back: backOf(r),
			Action: r.URL.Path + "?" + url.Values{"seen": r.URL.Query()["seen"], "over": {both.over}}.Encode(),
		})
		return nil
	case errors.Is(err, errChangedSince), errors.Is(err, errPageTooOld):
		return failed(http.StatusConflict, err)
	case errors.Is(err, errNoDraft):
		return failed(http.StatusNotFound, err)
	case err != nil:
		return unprocessable(err)
	}
	http.Redirect(w, r, "/piece/"+id+"#"+st.at, http.StatusSeeOther)
	return nil
}

// A conflictPage lets somebody choose between what was set elsewhere and what they sent.
type conflictPage struct {
	Problem, Hint string
	Conflicts     []conflict
	Fields        url.Values // as they were sent
	Action, Back  string
}

type spotAnswer struct {
	Says    string `json:"says"`    // how good a sample it is
	Figures string `json:"figures"` // its colour
	Hex     string `json:"hex"`
	Problem string `json:"problem,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// spot reads an outline that has just been drawn, and answers a script.
func (s *Server) spot(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	var answer spotAnswer
	if spot, err := s.readSpot(r, f); err != nil {
		answer.Problem, answer.Hint = s.speaker(r).Fault(err)
	} else {
		says := s.speaker(r)
		answer.Figures, answer.Hex = report.Style{Speaker: says}.LabWords(spot.Lab, spot.PlusMinus), spot.Lab.Hex()
		if answer.Says = strings.Join(says.Warnings(spot.Warnings), " "); answer.Says == "" {
			answer.Says = says.Say(fault.Say("page.good-sample"))
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(answer) // whoever asked may be gone
	return nil
}

func (s *Server) readSpot(r *http.Request, f form) (spot workshop.SpotReading, err error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if err != nil {
		return spot, err
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return spot, err
	}
	defer release()
	return workshop.ReadSpot(r.Context(), s.album, &d.Piece, f.text("photo"), f.text("outline"))
}
