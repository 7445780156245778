package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
)

type logView struct {
	Query  logQuery
	Found  []nearEntry
	Like   string        // the colour that was asked for, as a code; "" for none
	Chips  []nearCoating // coatings of that colour
	Asked  bool
	Pieces []logbook.Piece
	Photos []tappedPhoto // whose colours can be looked for
	Scores *record.Scores
	Habit  string
	Saved  string   // when the log was last saved elsewhere
	Told   []string // what came of what was just asked for
	Alone  bool     // the program runs in this browser
	Kept   int      // files that were kept after a fault
}

type logQuery struct{ Text, Colour, Within, Wood, Coating string }

// A nearEntry is an entry that was found; Says is how far it is from the colour that was asked for, "" where none was.
type nearEntry struct {
	logbook.Found
	Says string
}

// A nearCoating is a coating whose own colour is like the one that was asked for.
type nearCoating struct {
	logbook.KnownCoating
	DeltaE float64
	Says   string
}

// A tappedPhoto is a photo of a piece on the bench.
type tappedPhoto struct{ Piece, Name, Photo, File string }

// logPage finds entries of the log, and says how good predictions have been.
func (s *Server) logPage(w http.ResponseWriter, r *http.Request) error {
	return s.showLog(w, r, form{r.URL.Query()}, nil)
}

// showLog shows the page of the log: what a form looks for, and what has just been done.
func (s *Server) showLog(w http.ResponseWriter, r *http.Request, f form, told []string) error {
	v := logView{Told: told, Alone: s.single, Query: logQuery{f.text("text"), f.text("colour"), f.text("within"), f.text("wood"),
		f.text("coating")}}
	v.Asked = v.Query.Text+v.Query.Colour+v.Query.Wood+v.Query.Coating != ""
	var err error
	if v.Pieces, err = s.log.Pieces(r.Context()); err != nil {
		return err
	}
	style := report.Style{Speaker: s.speaker(r)}
	if v.Asked {
		if err := s.find(r.Context(), f, &v, style); err != nil {
			return unprocessable(err)
		}
	}
	if v.Scores, err = record.ScoresOf(r.Context(), s.log); err != nil {
		return err
	}
	if v.Saved, err = s.savedWords(style.Speaker); err != nil {
		return err
	}
	kept, err := s.foundFiles()
	if err != nil {
		return err
	}
	v.Kept = len(kept)
	drafts, _, err := s.drafts.all()
	if err != nil {
		return err
	}
	for _, d := range drafts {
		if n := len(d.Piece.Photos); n > 0 {
			last := d.Piece.Photos[n-1]
			v.Photos = append(v.Photos, tappedPhoto{d.ID, d.Piece.Name, last.Name, last.File})
		}
	}
	v.Habit = style.BiasWords(v.Scores.Bias.Film, v.Scores.Bias.Wider, v.Scores.Pieces)
	s.show(w, r, http.StatusOK, "log", v)
	return nil
}

// find looks for what a form asks for.
func (s *Server) find(ctx context.Context, f form, v *logView, says report.Style) (err error) {
	q := logbook.Query{Text: v.Query.Text, Wood: v.Query.Wood, Coating: v.Query.Coating}
	if q.Within, err = f.number("within", "how near"); err != nil {
		return err
	}
	if v.Query.Colour != "" {
		near, err := piece.ParseColour(v.Query.Colour)
		if err != nil {
			return err
		}
		q.Near, v.Like, q.Within = &near, near.Hex(), cmp.Or(q.Within, likeWithin)
		if err := s.findCoatings(ctx, near, q.Within, v, says); err != nil {
			return err
		}
	}
	found, err := s.log.Find(ctx, q)
	for i := range found {
		one := nearEntry{Found: found[i]}
		if q.Near != nil {
			one.Says = says.NearWords(found[i].DeltaE)
		}
		v.Found = append(v.Found, one)
	}
	return err
}

// likeWithin is how far a colour may be from one that was tapped and still be like it, ΔE00: they pass for one at arm's length.
const likeWithin = 4

// findCoatings finds coatings whose own colour is near one.
func (s *Server) findCoatings(ctx context.Context, near colour.Lab, within float64, v *logView, says report.Style) error {
	all, err := s.log.Coatings(ctx)
	for _, k := range all {
		if k.Chip == nil {
			continue
		}
		if d := colour.DeltaE2000(near, *k.Chip); d <= within {
			v.Chips = append(v.Chips, nearCoating{k, d, says.NearWords(d)})
		}
	}
	slices.SortStableFunc(v.Chips, func(a, b nearCoating) int { return cmp.Compare(a.DeltaE, b.DeltaE) })
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
