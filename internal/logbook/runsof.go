package logbook

import (
	"context"
	"encoding/json"
	"strings"
	"time"
)

// A PastRun is a run of a piece, and when it was written down.
type PastRun struct {
	Run
	At time.Time
}

// RunsOf are the last runs of a piece that asked a thing, such as "plan", the newest first and most of them at most, without
// their photos. A piece that the log does not have has none.
func (l *Log) RunsOf(ctx context.Context, piece, what string, most int) ([]PastRun, error) {
	all, err := collect(ctx, l.db, `SELECT r.id, r.what, r.program, r.request, r.result, min(e.noted_at)
		FROM entry e JOIN run r ON r.id = e.run
		WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND r.what = ?
		GROUP BY r.id ORDER BY r.id DESC LIMIT ?`,
		func(scan func(...any) error) (r PastRun, err error) {
			var asked, answer, at string
			err = scan(&r.ID, &r.What, &r.Program, &asked, &answer, &at)
			r.At, r.Request, r.Result = parsed(at), json.RawMessage(asked), json.RawMessage(answer)
			return r, err
		}, strings.TrimSpace(piece), what, most)
	return all, faultOf(l.path, err)
}
