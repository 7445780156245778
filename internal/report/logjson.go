package report

import (
	"io"
	"time"

	"huewright/internal/logbook"
	"huewright/internal/record"
	"huewright/internal/words"
)

type entryJSON struct {
	Number     int64     `json:"number"`
	At         time.Time `json:"at"`
	Kind       string    `json:"kind"`
	Piece      string    `json:"piece,omitempty"`
	Area       string    `json:"area,omitempty"`
	Says       string    `json:"says"` // in words
	Note       string    `json:"note,omitempty"`
	Lab        *[3]num   `json:"lab,omitempty"`
	PlusMinus  *num      `json:"plus_minus,omitempty"`
	DeltaE     *num      `json:"delta_e,omitempty"` // to what was looked for
	Run        int64     `json:"run,omitempty"`
	Replaces   int64     `json:"replaces,omitempty"`
	ReplacedBy int64     `json:"replaced_by,omitempty"`
	Withdrawn  bool      `json:"withdrawn,omitempty"`
}

func entryOf(e *logbook.Entry) entryJSON {
	told := record.Describe(e)
	j := entryJSON{
		Number: e.ID, At: e.At, Kind: string(e.Kind), Piece: e.Piece, Area: e.Area, Says: Style{}.Described(e), Note: e.Note,
		Run: e.Run, Replaces: e.Replaces, ReplacedBy: e.ReplacedBy, Withdrawn: e.Withdrawn,
	}
	if told.Lab != nil {
		j.Lab = new(triple(*told.Lab))
	}
	if e.Reading != nil {
		j.PlusMinus = new(num(e.Reading.PlusMinus))
	}
	return j
}

type historyJSON struct {
	Version int         `json:"version"`
	Piece   string      `json:"piece"`
	About   string      `json:"about,omitempty"`
	BegunAt time.Time   `json:"begun_at"`
	Entries []entryJSON `json:"entries"`
}

// HistoryJSON writes a piece's history as JSON.
func HistoryJSON(w io.Writer, h *record.History) error {
	entries := []entryJSON{}
	for i := range h.Entries {
		entries = append(entries, entryOf(&h.Entries[i]))
	}
	return writeJSON(w, historyJSON{Version, h.Piece.Name, h.Piece.About, h.Piece.BegunAt, entries})
}

type piecesJSON struct {
	Version int           `json:"version"`
	Pieces  []loggedPiece `json:"pieces"`
}

type loggedPiece struct {
	Name    string    `json:"name"`
	About   string    `json:"about,omitempty"`
	BegunAt time.Time `json:"begun_at"`
	LastAt  time.Time `json:"last_at"`
	Entries int       `json:"entries"`
}

// PiecesJSON writes the pieces of a log as JSON.
func PiecesJSON(w io.Writer, all []logbook.Piece) error {
	pieces := []loggedPiece{}
	for _, p := range all {
		pieces = append(pieces, loggedPiece{p.Name, p.About, p.BegunAt, p.LastAt, p.Entries})
	}
	return writeJSON(w, piecesJSON{Version, pieces})
}

type foundJSON struct {
	Version int         `json:"version"`
	Found   []entryJSON `json:"found"`
}

// FoundJSON writes what was looked for in a log as JSON.
func FoundJSON(w io.Writer, all []logbook.Found, near bool) error {
	found := []entryJSON{}
	for i := range all {
		e := entryOf(&all[i].Entry)
		if near {
			e.DeltaE = new(num(all[i].DeltaE))
		}
		found = append(found, e)
	}
	return writeJSON(w, foundJSON{Version, found})
}

type scoreJSON struct {
	Coating string  `json:"coating,omitempty"` // none for all
	Pieces  int     `json:"pieces"`
	Results int     `json:"results"`
	DeltaE  num     `json:"mean_delta_e"`
	Within  int     `json:"within"` // of results, within the stated 95 % radius
	Off     [3]num  `json:"off"`    // mean of measured less predicted
	OffSE   [3]*num `json:"off_se"` // its standard error; null of one
}

func scoreOf(c record.CoatingScore) scoreJSON {
	j := scoreJSON{c.Coating, c.Pieces, c.Results, num(c.DeltaE), c.Within, triple(c.Off), [3]*num{}}
	for i, se := range c.OffSE {
		if c.Results > 1 {
			j.OffSE[i] = new(num(se))
		}
	}
	return j
}

type scoresJSON struct {
	Version  int         `json:"version"`
	Coatings []scoreJSON `json:"coatings"`
	All      scoreJSON   `json:"all"`
	Counts   int         `json:"counts"`
	Exact    int         `json:"exact"`
	Nearly   int         `json:"right_or_one_off"`
	InRange  int         `json:"in_80_range"`
	Film     num         `json:"film"`
	Wider    num         `json:"wider"`
}

// ScoresJSON writes how good predictions have been as JSON.
func ScoresJSON(w io.Writer, s *record.Scores) error {
	coatings := []scoreJSON{}
	for _, c := range s.Coatings {
		coatings = append(coatings, scoreOf(c))
	}
	return writeJSON(w, scoresJSON{Version, coatings, scoreOf(s.All), len(s.Counts), s.Exact, s.NearlySo, s.InRange, num(s.Bias.Film),
		num(max(1, s.Bias.Wider))})
}

type pointJSON struct {
	At        time.Time `json:"at"`
	Lab       [3]num    `json:"lab"`
	PlusMinus num       `json:"plus_minus"`
	Under     string    `json:"under"` // coats on it
}

func pointOf(p *logbook.Point) *pointJSON {
	if p == nil {
		return nil
	}
	return &pointJSON{p.At, triple(p.Lab), num(p.PlusMinus), p.Stack.String()}
}

type labelJSON struct {
	Version   int         `json:"version"`
	Piece     string      `json:"piece"`
	Area      string      `json:"area"`
	Wood      string      `json:"wood"`
	Cut       string      `json:"cut"`
	Age       string      `json:"age"`
	Surface   string      `json:"surface"`
	Sanding   string      `json:"sanding"`
	M2        num         `json:"size_m2"`
	Before    *pointJSON  `json:"before"`
	Coats     []entryJSON `json:"coats"`
	After     *pointJSON  `json:"after"`
	Reference string      `json:"reference"`
}

// LabelJSON writes what belongs on the back of a sample board as JSON.
func LabelJSON(w io.Writer, b *logbook.Board) error {
	coats := []entryJSON{}
	for i := range b.Coats {
		coats = append(coats, entryOf(&b.Coats[i]))
	}
	f := b.Facts
	return writeJSON(w, labelJSON{Version, b.Piece, b.Area, f.Wood, f.Cut, f.WoodAge, f.Surface, f.Sanding, num(f.SquareMetres),
		pointOf(b.Before), coats,
		pointOf(b.After), b.Reference})
}

type driftJSON struct {
	Version int         `json:"version"`
	Piece   string      `json:"piece"`
	Area    string      `json:"area"`
	Points  []pointJSON `json:"points"`
	Since   int         `json:"since"`
	DeltaE  num         `json:"delta_e"`
	OffBoth num         `json:"plus_minus"`
	Surely  bool        `json:"changed"`
	Words   string      `json:"words"`
	Ageing  string      `json:"ageing"`
}

// DriftJSON writes how an area's colour went as JSON.
func DriftJSON(w io.Writer, d *record.Drift) error {
	points := []pointJSON{}
	for i := range d.Points {
		points = append(points, *pointOf(&d.Points[i]))
	}
	return writeJSON(w, driftJSON{Version, d.Piece, d.Area, points, d.Since, num(d.DeltaE), num(d.OffBoth), d.Surely,
		words.Speaker{}.Say(d.Words), words.Speaker{}.Say(d.Ageing)})
}
