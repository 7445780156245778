package web

import (
	"context"
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
	Saved  string   // when the log was last saved elsewhere
	Told   []string // what came of what was just asked for
}

type logQuery struct{ Text, Colour, Within, Wood, Coating string }

// logPage finds entries of the log, and says how good predictions have been.
func (s *Server) logPage(w http.ResponseWriter, r *http.Request) error {
	return s.showLog(w, r, form{r.URL.Query()}, nil)
}

// showLog shows the page of the log: what a form looks for, and what has just been done.
func (s *Server) showLog(w http.ResponseWriter, r *http.Request, f form, told []string) error {
	v := logView{Told: told, Query: logQuery{f.text("text"), f.text("colour"), f.text("within"), f.text("wood"), f.text("coating")}}
	v.Asked = v.Query.Text+v.Query.Colour+v.Query.Wood+v.Query.Coating != ""
	var err error
	if v.Pieces, err = s.log.Pieces(r.Context()); err != nil {
		return err
	}
	if v.Asked {
		if err := s.find(r.Context(), f, &v); err != nil {
			return unprocessable(err)
		}
	}
	if v.Scores, err = record.ScoresOf(r.Context(), s.log); err != nil {
		return err
	}
	if v.Saved, err = s.savedWords(s.speaker(r)); err != nil {
		return err
	}
	v.Habit = report.Style{Speaker: s.speaker(r)}.BiasWords(v.Scores.Bias.Film, v.Scores.Bias.Wider, v.Scores.Pieces)
	s.show(w, r, http.StatusOK, "log", v)
	return nil
}

// find looks for what a form asks for.
func (s *Server) find(ctx context.Context, f form, v *logView) (err error) {
	q := logbook.Query{Text: v.Query.Text, Wood: v.Query.Wood, Coating: v.Query.Coating}
	if q.Within, err = f.number("within", "how near"); err != nil {
		return err
	}
	if v.Query.Colour != "" {
		near, err := piece.ParseColour(v.Query.Colour)
		if err != nil {
			return err
		}
		q.Near, v.Near = &near, true
	}
	v.Found, err = s.log.Find(ctx, q)
	return err
}

type historyView struct {
	*record.History
	Story  []report.Chapter
	Labels []string // for sample boards, one to an area
	Draft  string   // of the piece, where it is on the bench; "" where it is not
}

// history shows all that was seen and done on a piece.
func (s *Server) history(w http.ResponseWriter, r *http.Request) error {
	return s.historyOf(w, r, r.PathValue("piece"))
}

// historyOfDraft is the history of a piece that is on the bench.
func (s *Server) historyOfDraft(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	return s.historyOf(w, r, d.Piece.Name)
}

func (s *Server) historyOf(w http.ResponseWriter, r *http.Request, name string) error {
	h, err := record.HistoryOf(r.Context(), s.log, name)
	if err != nil {
		return failed(http.StatusNotFound, err)
	}
	style := report.Style{Speaker: s.speaker(r), Width: phoneColumns}
	v := historyView{History: h, Story: style.Story(h, time.Local)}
	if drafts, _, err := s.drafts.all(); err == nil {
		if d := draftNamed(drafts, h.Piece.Name); d != nil {
			v.Draft = d.ID
		}
	}
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
		if err := style.LabelText(&text, b, time.Local); err == nil {
			v.Labels = append(v.Labels, text.String())
		}
	}
	s.show(w, r, http.StatusOK, "history", v)
	return nil
}

// shelf shows the coatings that the log knows.
func (s *Server) shelf(w http.ResponseWriter, r *http.Request) error {
	all, err := s.log.Coatings(r.Context())
	if err == nil {
		s.show(w, r, http.StatusOK, "shelf", all)
	}
	return err
}

type helpPage struct {
	Alone bool // the program runs in this browser
}

func (s *Server) help(w http.ResponseWriter, r *http.Request) error {
	s.show(w, r, http.StatusOK, "help", helpPage{Alone: s.single})
	return nil
}
