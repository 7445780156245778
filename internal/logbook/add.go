package logbook

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Begin begins a piece. It returns a *Fault of kind Wrong for a name that is taken.
func (w *Writer) Begin(name, about string) (int64, error) {
	name = strings.TrimSpace(name)
	if name == "" || utf8.RuneCountInString(name) > 200 {
		return 0, wrong("call the piece something a person would, in 1 to 200 letters", "the piece has no name to go by")
	}
	if id, err := w.piece(name); err != nil || id != 0 {
		if err == nil {
			err = wrong("go on with it, or call this one something else", "there is a piece called %q already", name)
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
// It returns a *Fault of kind Wrong for a piece that is not there, for details that make no sense,
// and for putting right what is not there or was put right already.
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
			err = wrong("begin it: huewright log begin \""+e.Piece+"\"; or see huewright log list for those there are",
				"there is no piece called %q", e.Piece)
		}
		if err != nil {
			return 0, err
		}
		piece = id
	}
	if err := w.mayReplace(&e); err != nil {
		return 0, err
	}
	at := e.At
	if at.IsZero() {
		at = w.now
	}
	id, err := w.insertNew("INSERT INTO entry (uid, at, noted_at, kind, piece, area, run, note, replaces) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
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

func noEntry(id int64) error {
	return wrong("see huewright log show for the entries and their numbers", "there is no entry #%d", id)
}

// mayReplace makes sure that what an entry puts right is there, and stands.
func (w *Writer) mayReplace(e *Entry) error {
	if e.Replaces == 0 {
		return nil
	}
	there, err := w.find("SELECT id FROM entry WHERE id = ?", e.Replaces)
	if err != nil {
		return err
	}
	if there == 0 {
		return noEntry(e.Replaces)
	}
	by, err := w.find("SELECT id FROM entry WHERE replaces = ?", e.Replaces)
	if err == nil && by != 0 {
		return wrong(fmt.Sprintf("see #%d, and undo that one if it is wrong", by), "entry #%d was put right already, by #%d", e.Replaces, by)
	}
	return err
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

// longestNote is how many bytes a note may have.
const longestNote = 20_000

// check returns what a person may have got wrong.
func (e *Entry) check() error {
	switch {
	case e.Kind != KindWithdrawal && e.details() == 0 && strings.TrimSpace(e.Note) == "":
		return wrong("say what is to be noted", "the note is empty")
	case len(e.Note) > longestNote:
		return wrong("keep it shorter, or make it several", "the note is %d bytes long, at most %d are kept", len(e.Note), longestNote)
	case len(e.Area) > 200:
		return wrong("call it something shorter", "the area's name is %d bytes long, at most 200 are kept", len(e.Area))
	case e.At.Year() > 9999:
		return wrong("say it as 2026-11-25 or 2026-11-25T14:30", "there is no such time")
	}
	if r := e.Reading; r != nil {
		switch c := r.Lab; {
		case !slices.Contains(ReadingsOf, r.Of):
			return wrong("say one of "+strings.Join(ReadingsOf, ", "), "%q is nothing a reading can be of", r.Of)
		case !c.IsFinite() || c.L < 0 || c.L > 100 || c.A < -200 || c.A > 200 || c.B < -200 || c.B > 200:
			return wrong("L* runs from 0 to 100, a* and b* of wood and paint from −100 to 100", "no surface has the colour %v", c)
		case !(r.PlusMinus >= 0 && r.PlusMinus < 1000):
			return wrong("say how far it may be off, in ΔE00: 1 for an instrument, 4 for a photo", "an uncertainty of %v", r.PlusMinus)
		}
	}
	if c := e.Coats; c != nil {
		if c.Coats < 1 || c.Coats > 1000 {
			return wrong("say how many, 1 or more", "%d coats", c.Coats)
		}
		if !(c.Share > 0 && c.Share <= 1) {
			return wrong("say the parts of coating and of what it is thinned with", "a mix of which %v is the coating", c.Share)
		}
		if t := c.Temperature; t != nil && !(*t >= -50 && *t <= 80) {
			return wrong("in °C, or °F with --fahrenheit", "a temperature of %v °C", *t)
		}
		if h := c.Humidity; h != nil && !(*h >= 0 && *h <= 100) {
			return wrong("relative humidity, in per cent from 0 to 100", "a humidity of %v %%", *h)
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
// zone of now. It returns a *Fault of kind Wrong for anything else.
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
	return time.Time{}, wrong("say it as 2026-11-25, 2026-11-25T14:30 or 14:30", "%q is no time", text)
}
