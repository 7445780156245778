package logbook

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
)

// A Run is a question that was put to the program and its answer.
type Run struct {
	ID              int64
	What            string // measure, plan or check
	Program         string // version
	Request, Result json.RawMessage
	Photos          map[string]string // hash of each photo by the name the request has for it
}

// Run is the run of a number.
func (l *Log) Run(ctx context.Context, id int64) (Run, error) {
	all, err := collect(ctx, l.db, "SELECT id, what, program, request, result FROM run WHERE id = ?",
		func(scan func(...any) error) (r Run, err error) {
			var asked, answer string
			err = scan(&r.ID, &r.What, &r.Program, &asked, &answer)
			r.Request, r.Result = json.RawMessage(asked), json.RawMessage(answer)
			return r, err
		}, id)
	if err != nil {
		return Run{}, faultOf(l.path, err)
	}
	if len(all) == 0 {
		return Run{}, wrong("logbook.no-run", "run", id)
	}
	run := all[0]
	run.Photos = map[string]string{}
	_, err = collect(ctx, l.db, "SELECT path, sha256 FROM run_photo WHERE run = ?",
		func(scan func(...any) error) (nothing struct{}, err error) {
			var path, hash string
			err = scan(&path, &hash)
			run.Photos[path] = hash
			return nothing, err
		}, id)
	return run, faultOf(l.path, err)
}

// Run keeps a question and its answer, both JSON, and which photo each name in the question stands
// for.
func (w *Writer) Run(what, program string, request, result json.RawMessage, photos map[string]string) (int64, error) {
	asked, answer, err := onOneLine(request, result)
	if err != nil {
		return 0, err
	}
	id, err := w.insertNew("INSERT INTO run (uid, what, program, request, result) VALUES (?, ?, ?, ?, ?)", what, program, asked, answer)
	if err != nil {
		return 0, err
	}
	for path, hash := range photos {
		if _, err := w.insert("INSERT INTO run_photo (run, path, sha256) VALUES (?, ?, ?)", id, path, hash); err != nil {
			return 0, err
		}
	}
	return id, nil
}

// onOneLine is JSON without white space, as an export can hold it.
func onOneLine(request, result json.RawMessage) (asked, answer string, err error) {
	var question, reply bytes.Buffer
	err = errors.Join(json.Compact(&question, request), json.Compact(&reply, result))
	return question.String(), reply.String(), err
}

// SameRun is the last run of a piece, where that asked and was answered the same; 0 where it was not.
func (w *Writer) SameRun(piece, what, program string, request, result []byte) (int64, error) {
	asked, answer, err := onOneLine(request, result)
	if err != nil {
		return 0, err
	}
	return w.find(`SELECT r.id FROM run r WHERE r.id = (
			SELECT max(e.run) FROM entry e JOIN run o ON o.id = e.run WHERE e.piece = (SELECT id FROM piece WHERE name = ?) AND o.what = ?)
		AND r.program = ? AND r.request = ? AND r.result = ?`, strings.TrimSpace(piece), what, program, asked, answer)
}
