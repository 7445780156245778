package logbook

import "strings"

// Standing are the entries of a piece that stand, the earliest first, as they are within this
// writing.
func (w *Writer) Standing(piece string) ([]Entry, error) {
	rows, err := w.tx.QueryContext(w.ctx, entryQuery+"WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND x.id IS NULL AND e.kind <> 'withdrawal' ORDER BY e.at, e.id", strings.TrimSpace(piece))
	if err != nil {
		return nil, err
	}
	defer func() { _ = rows.Close() }()
	var all []Entry
	for rows.Next() {
		e, err := readEntry(rows.Scan)
		if err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	return all, rows.Err()
}

// SameRun is the last run of a piece, where that asked and was answered the same; 0 where it was not.
func (w *Writer) SameRun(piece, what, program string, request, result []byte) (int64, error) {
	asked, err := onOneLine(request)
	if err != nil {
		return 0, err
	}
	answer, err := onOneLine(result)
	if err != nil {
		return 0, err
	}
	return w.find(`SELECT r.id FROM run r WHERE r.id = (
			SELECT max(e.run) FROM entry e JOIN run o ON o.id = e.run WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND o.what = ?)
		AND r.program = ? AND r.request = ? AND r.result = ?`, strings.TrimSpace(piece), what, program, asked, answer)
}
