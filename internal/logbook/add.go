package logbook

import (
	"errors"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Begin begins a piece. A name that is taken is a fault.
func (w *Writer) Begin(name, about string) (int64, error) {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > longestName {
		return 0, wrong("logbook.piece-name", "most", longestName)
	}
	if id, err := w.piece(name); err != nil || id != 0 {
		if err == nil {
			err = wrong("logbook.piece-taken", "piece", name)
		}
		return 0, err
	}
	return w.insertNew("INSERT INTO piece (uid, name, begun_at, about) VALUES (?, ?, ?, ?)", name, stamped(w.now), about)
}

func (w *Writer) piece(name string) (int64, error) {
	return w.find("SELECT id FROM piece WHERE name = ?", strings.TrimSpace(name))
}

// BeginOnce begins a piece unless it is there already.
func (w *Writer) BeginOnce(name string) error {
	id, err := w.piece(name)
	if err == nil && id == 0 {
		_, err = w.Begin(name, "")
	}
	return err
}

// Add writes an entry with its detail, and returns its number.
//
// A piece that is not there, details that make no sense, and putting right what is not there or was put right already are
// faults.
func (w *Writer) Add(e Entry) (int64, error) {
	kind, err := e.kind()
	if err != nil {
		return 0, err
	}
	if err := e.check(); err != nil {
		return 0, err
	}
	var piece any
	if e.Piece != "" {
		id, err := w.piece(e.Piece)
		if err == nil && id == 0 {
			err = noPiece(e.Piece)
		}
		if err != nil {
			return 0, err
		}
		piece = id
	}
	names, err := w.mayReplace(&e)
	if err != nil {
		return 0, err
	}
	at := e.At
	if at.IsZero() {
		at = w.now
	}
	id, err := w.insertNew("INSERT INTO entry (uid, at, noted_at, kind, piece, area, run, note, "+names+") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
		stamped(at), stamped(w.now), kind, piece, e.Area, orNull(e.Run), e.Note, orNull(e.Replaces))
	if err != nil {
		return 0, err
	}
	return id, w.detail(id, &e)
}

// Withdraw says that an entry does not stand, and why.
func (w *Writer) Withdraw(id int64, why string) (int64, error) {
	var e Entry
	var piece *string
	err := w.tx.QueryRowContext(w.ctx, "SELECT p.name, e.area FROM entry e LEFT JOIN piece p ON p.id = e.piece WHERE e.id = ?",
		id).Scan(&piece, &e.Area)
	if err != nil {
		return 0, noEntry(id)
	}
	if piece != nil {
		e.Piece = *piece
	}
	e.Kind, e.Replaces, e.Note = KindWithdrawal, id, why
	return w.Add(e)
}

// mostCoats is how many coats one entry may be of.
const mostCoats = 1000

// Undo withdraws an entry, and says which other one counts again for that; 0 for none.
func (w *Writer) Undo(id int64, why string) (number, back int64, err error) {
	if number, err = w.Withdraw(id, why); err != nil {
		return 0, 0, err
	}
	back, err = w.find("SELECT o.id FROM entry e JOIN entry o ON o.id = coalesce(e.replaces, e.replaces_again) WHERE e.id = ? AND "+
		standing("o.id"), id)
	return number, back, err
}

func noPiece(name string) error { return wrong("logbook.no-piece", "piece", name) }

func noEntry(id int64) error {
	return wrong("logbook.no-entry", "number", id)
}

// mayReplace makes sure that what an entry puts right is there, and stands. It returns the column that names it: it may
// have been put right before by one that was withdrawn since.
func (w *Writer) mayReplace(e *Entry) (column string, err error) {
	if e.Replaces == 0 {
		return "replaces", nil
	}
	there, err := w.find("SELECT 1 + (kind = 'withdrawal') FROM entry WHERE id = ?", e.Replaces)
	switch {
	case err != nil:
		return "", err
	case there == 0:
		return "", noEntry(e.Replaces)
	case there == 2 && e.Kind != KindWithdrawal:
		return "", wrong("logbook.no-withdrawal-instead", "number", e.Replaces)
	}
	by, err := w.find("SELECT coalesce("+putRightBy("e.id", "e.id")+", 0) FROM entry e WHERE e.id = ?", e.Replaces)
	if err == nil && by != 0 {
		err = wrong("logbook.put-right", "number", e.Replaces, "by", by)
	}
	if err != nil {
		return "", err
	}
	return w.naming(e.Replaces)
}

// naming is the column by which a further entry may name one that stands.
func (w *Writer) naming(id int64) (column string, err error) {
	named, err := w.find("SELECT id FROM entry WHERE replaces = ?", id)
	if named != 0 {
		return "replaces_again", err
	}
	return "replaces", err
}

// kind is what the entry is about, by its detail.
func (e *Entry) kind() (Kind, error) {
	kind, details := kindNote, 0
	for _, d := range []struct {
		there bool
		kind  Kind
	}{
		{e.Facts != nil, kindArea}, {e.Picture != nil, kindPicture}, {e.Reference != nil, kindReference}, {e.Reading != nil, kindReading},
		{e.TestCoat != nil, kindTestCoat}, {e.Coats != nil, kindCoats}, {e.Plan != nil, kindPlan}, {e.Check != nil, kindCheck},
		{e.Kind == KindWithdrawal, KindWithdrawal},
	} {
		if d.there {
			kind, details = d.kind, details+1
		}
	}
	if details > 1 {
		return "", errors.New("an entry of the log has one detail")
	}
	return kind, nil
}

const (
	longestNote = 20_000 // bytes
	longestName = 200    // letters
)

// check returns what a person may have got wrong.
func (e *Entry) check() error {
	switch {
	case e.Kind != KindWithdrawal && e.details() == 0 && strings.TrimSpace(e.Note) == "":
		return wrong("logbook.empty-note")
	case len(e.Note) > longestNote:
		return wrong("logbook.long-note", "bytes", len(e.Note), "most", longestNote)
	case utf8.RuneCountInString(e.Area) > longestName:
		return wrong("logbook.long-area", "letters", utf8.RuneCountInString(e.Area), "most", longestName)
	case e.At.Year() > 9999:
		return wrong("logbook.no-time", "text", e.At.String())
	}
	if r := e.Reading; r != nil {
		switch c := r.Lab; {
		case !slices.Contains(ReadingsOf, r.Of):
			return wrong("logbook.reading-of", "of", r.Of, "known", ReadingsOf)
		case !c.IsFinite() || c.L < 0 || c.L > 100 || c.A < -200 || c.A > 200 || c.B < -200 || c.B > 200:
			return wrong("logbook.no-colour", "l", c.L, "a", c.A, "b", c.B)
		case !(r.PlusMinus >= 0 && r.PlusMinus < 1000):
			return wrong("logbook.uncertainty", "figure", r.PlusMinus)
		}
	}
	if f := e.Facts; f != nil && !(f.SquareMetres >= 0 && f.SquareMetres <= largest("square_metres")) {
		return wrong("logbook.area-size", "size", f.SquareMetres)
	}
	if c := e.Coats; c != nil {
		if c.Coats < 1 || c.Coats > mostCoats {
			return wrong("logbook.how-many-coats", "coats", c.Coats, "most", mostCoats)
		}
		if !(c.Share > 0 && c.Share <= 1) {
			return wrong("logbook.mix", "share", c.Share)
		}
		if t := c.Temperature; t != nil && !(*t >= -50 && *t <= 80) {
			return wrong("logbook.temperature", "celsius", *t)
		}
		if h := c.Humidity; h != nil && !(*h >= 0 && *h <= 100) {
			return wrong("logbook.humidity", "humidity", *h)
		}
		if m := c.WipedAfter; m != nil && !(*m >= 0 && *m <= largest("wiped_after")) {
			return wrong("logbook.wiped-after", "minutes", *m)
		}
		if h := c.Dried; h != nil && !(*h >= 0 && *h <= largest("dried")) {
			return wrong("logbook.dried", "hours", *h)
		}
	}
	return nil
}

func (e *Entry) details() (n int) {
	for _, there := range []bool{e.Facts != nil, e.Picture != nil, e.Reference != nil, e.Reading != nil, e.TestCoat != nil,
		e.Coats != nil, e.Plan != nil, e.Check != nil} {
		if there {
			n++
		}
	}
	return n
}

// ParseTime reads a time as people write it: a date, a date and a time, or a time of today, in the
// zone of now. Anything else is a fault.
func ParseTime(text string, now time.Time) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02", "15:04"} {
		t, err := time.ParseInLocation(layout, text, now.Location())
		if err != nil {
			continue
		}
		if layout == "15:04" {
			t = time.Date(now.Year(), now.Month(), now.Day(), t.Hour(), t.Minute(), 0, 0, now.Location())
		}
		return t, nil
	}
	return time.Time{}, wrong("logbook.no-time", "text", text)
}
