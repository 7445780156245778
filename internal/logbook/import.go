package logbook

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// mostLine is how long a line of an export may be, in bytes.
const mostLine = 64 << 20

// Import takes in what Export has written: all of it, or where any of it makes no sense, nothing.
// Rows that are there already are left as they are. A piece whose name another one here has gets
// a number behind it.
//
// It returns a *Fault of kind Wrong, with the line, for what Export would not have written.
func (l *Log) Import(ctx context.Context, from io.Reader) (Imported, error) {
	in := &importer{of: map[string]map[string]int64{}}
	err := l.Write(ctx, func(w *Writer) error {
		in.Writer = w
		lines := bufio.NewScanner(from)
		lines.Buffer(make([]byte, 1<<16), mostLine)
		for in.line = 1; lines.Scan(); in.line++ {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := in.take(lines.Bytes()); err != nil {
				return in.fault(err)
			}
		}
		if errors.Is(lines.Err(), bufio.ErrTooLong) {
			return in.fault(fmt.Errorf("the line is longer than %d bytes", mostLine))
		}
		if lines.Err() == nil && in.line == 1 {
			return in.fault(errors.New("there is nothing in it"))
		}
		if err := lines.Err(); err != nil {
			return err
		}
		bare, err := w.find(withoutDetail)
		if err == nil && bare != 0 {
			err = in.fault(fmt.Errorf("%d entries say what kind they are and not the rest: the export is not whole", bare))
		}
		return err
	})
	if err != nil {
		return Imported{}, err
	}
	hashes, err := l.hashes(ctx)
	if err != nil {
		return in.done, faultOf(l.path, err)
	}
	for _, hash := range hashes {
		if _, err := l.Photo(hash); err != nil {
			in.done.Photos = append(in.done.Photos, hash)
		}
	}
	return in.done, nil
}

func (in *importer) fault(err error) error {
	if fault := (*Fault)(nil); errors.As(err, &fault) {
		return err
	}
	switch fault := faultOf("", err).(*Fault); fault.Kind {
	case full, notWritable, busy, Damaged, noPlace:
		return fault
	}
	return &Fault{Kind: Wrong, Problem: fmt.Sprintf("line %d: %v", in.line, err),
		Advice: "an export is what huewright log export wrote, unchanged; nothing of this one was taken in", Err: err}
}

func (in *importer) take(line []byte) error {
	if in.line == 1 {
		var h header
		if err := json.Unmarshal(line, &h); err != nil || h.Log == 0 {
			return errors.New("this is no export of a log")
		}
		if h.Log > exportVersion || h.Version > len(in.log.opt.steps) {
			return &Fault{Kind: newer, Problem: "the export was written by a newer huewright", Advice: "use that one, or a newer one, to import it"}
		}
		return nil
	}
	var row map[string]json.RawMessage
	if err := json.Unmarshal(line, &row); err != nil {
		return err
	}
	var is string
	if err := json.Unmarshal(row["is"], &is); err != nil {
		return errors.New("the line does not say what it is")
	}
	delete(row, "is")
	for i := range exported {
		if exported[i].name == is {
			return in.row(&exported[i], row)
		}
	}
	return fmt.Errorf("there is nothing called %q in a log", is)
}
