package web

import (
	"net/http"
	"strings"
	"time"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
)

type logView struct {
	Query  logQuery
	Found  []logbook.Found
	Near   bool
	Asked  bool
	Pieces []logbook.Piece
	Scores *record.Scores
	Habit  string
}

type logQuery struct{ Text, Colour, Within, Wood, Coating string }

// logPage finds entries of the log, and says how good predictions have been.
func (s *Server) logPage(w http.ResponseWriter, r *http.Request) {
	f := form{r.URL.Query()}
	v := logView{Query: logQuery{f.text("text"), f.text("colour"), f.text("within"), f.text("wood"), f.text("coating")}}
	v.Asked = v.Query.Text+v.Query.Colour+v.Query.Wood+v.Query.Coating != ""
	var err error
	if v.Pieces, err = s.log.Pieces(r.Context()); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	if v.Asked {
		q := logbook.Query{Text: v.Query.Text, Wood: v.Query.Wood, Coating: v.Query.Coating}
		if q.Within, err = f.number("within", "how near"); err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, err, "")
			return
		}
		if v.Query.Colour != "" {
			near, err := piece.ParseColour(v.Query.Colour)
			if err != nil {
				s.fail(w, r, http.StatusUnprocessableEntity, err, "")
				return
			}
			q.Near, v.Near = &near, true
		}
		if v.Found, err = s.log.Find(r.Context(), q); err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, err, "")
			return
		}
	}
	if v.Scores, err = record.ScoresOf(r.Context(), s.log); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	v.Habit = report.HabitWords(v.Scores.Habit.Film, v.Scores.Habit.Wider, v.Scores.Pieces)
	s.show(w, r, http.StatusOK, "log", v)
}

type historyView struct {
	*record.History
	Labels []string // for sample boards, one to an area
}

// history shows all that was seen and done on a piece.
func (s *Server) history(w http.ResponseWriter, r *http.Request) {
	h, err := record.HistoryOf(r.Context(), s.log, r.PathValue("piece"))
	if err != nil {
		s.fail(w, r, http.StatusNotFound, err, "")
		return
	}
	v := historyView{History: h}
	seen := map[string]bool{}
	for _, e := range h.Stands() {
		if e.Facts == nil || seen[e.Area] {
			continue
		}
		seen[e.Area] = true
		b, err := s.log.Board(r.Context(), h.Piece.Name, e.Area)
		if err != nil {
			continue
		}
		var text strings.Builder
		if err := report.LabelText(&text, b, time.Local); err == nil {
			v.Labels = append(v.Labels, text.String())
		}
	}
	s.show(w, r, http.StatusOK, "history", v)
}

// shelf shows the coatings that the log knows.
func (s *Server) shelf(w http.ResponseWriter, r *http.Request) {
	all, err := s.log.Coatings(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	s.show(w, r, http.StatusOK, "shelf", all)
}

func (s *Server) help(w http.ResponseWriter, r *http.Request) {
	s.show(w, r, http.StatusOK, "help", nil)
}
