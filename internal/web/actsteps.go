package web

import (
	"bytes"
	"context"

	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// A stepRequest asks for a step of a draft, with the fields of a form; did is what the step is called, for undoing it.
type stepRequest struct {
	id   string
	form form
	did  string
	seen string // the key of the draft that its page showed; "" is not known
	over string // the key of a draft that may be overwritten where both changed one thing; "" for none
}

// check judges a repair, and keeps what was found in the log.
func (s *Server) check(ctx context.Context, a stepRequest) error {
	name := a.form.text("name")
	d, err := s.drafts.load(a.id)
	if err != nil {
		return err
	}
	release, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	req, result, err := workshop.CheckRepair(ctx, s.album, &d.Piece, name)
	release()
	if err != nil {
		return err
	}
	var answer bytes.Buffer
	if err := report.CheckJSON(&answer, result); err != nil {
		return err
	}
	if _, err := s.keeper(d.Piece.Name).KeepCheck(ctx, name, req, result, answer.Bytes()); err != nil {
		return err
	}
	_, err = s.drafts.change(a.id, a.did, s.now(), func(d *pieceDraft) error {
		if d.Checks == nil {
			d.Checks = map[string]repairAnswer{}
		}
		d.Checks[name] = repairAnswerOf(result, speakerOf(d))
		return nil
	})
	return err
}

// repairAnswerOf is a result as a page shows it.
func repairAnswerOf(r *workshop.CheckResult, says words.Speaker) repairAnswer {
	c := report.Style{Speaker: says}.CheckWords(r)
	return repairAnswer{
		Verdict: c.Verdict, StandsOut: c.StandsOut, Why: c.Why, Advice: c.Advice, Colour: c.Colour, Warnings: says.Warnings(r.Warnings),
	}
}

// undo takes the last step of a draft back.
func (s *Server) undo(_ context.Context, a stepRequest) error {
	_, err := s.drafts.undo(a.id, a.seen)
	return err
}

// note adds a note to the log.
func (s *Server) note(ctx context.Context, a stepRequest) error {
	d, err := s.drafts.load(a.id)
	if err != nil {
		return err
	}
	return s.log.Write(ctx, func(w *logbook.Writer) error {
		if err := w.BeginOnce(d.Piece.Name); err != nil {
			return err
		}
		_, err := w.Add(logbook.Entry{Piece: d.Piece.Name, Area: a.form.text("area"), Note: severalLines(a.form.Get("note"))})
		return err
	})
}
