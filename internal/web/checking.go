package web

import (
	"context"
	"fmt"
	"strings"

	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// check judges a repair, and keeps what was found in the log.
func (s *Server) check(ctx context.Context, a asked) error {
	name := a.form.text("name")
	d, err := s.drafts.load(a.id)
	if err != nil {
		return err
	}
	done, err := s.turn(ctx)
	if err != nil {
		return err
	}
	req, result, err := workshop.CheckRepair(ctx, s.album, &d.Piece, name)
	done()
	if err != nil {
		return err
	}
	var answer strings.Builder
	if err := report.CheckJSON(&answer, result); err != nil {
		return err
	}
	k := record.Keeper{Log: s.log, Piece: d.Piece.Name, Program: s.program, Files: s.album}
	if _, err := k.KeepCheck(ctx, name, req, result, []byte(answer.String())); err != nil {
		return err
	}
	_, err = s.drafts.change(a.id, a.did, s.now(), func(d *Draft) error {
		if d.Checks == nil {
			d.Checks = map[string]RepairSays{}
		}
		says := RepairSays{
			Verdict: string(result.Verdict), Of100: result.Near.Rank.Of100, DeltaE: result.Near.Colour, Why: result.Why,
			Advice: result.Advice, Warnings: result.Warnings,
		}
		for _, far := range result.Far {
			seen := "not seen"
			if far.Seen {
				seen = "seen"
			}
			says.Far = append(says.Far, fmt.Sprintf("from %.1f m: %s", far.Distance/1000, seen))
		}
		d.Checks[name] = says
		return nil
	})
	return err
}
