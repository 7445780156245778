package logbook

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"io"
	"slices"

	"huewright/internal/fault"
)

// mostLine is how long a line of an export may be, in bytes.
const mostLine = 64 << 20

// ImportOptions change how an export is taken in.
type ImportOptions struct {
	Strict bool // one line that makes no sense refuses all of it; else it refuses that line, and what hangs on it
}

// Imported says what came of an import.
type Imported struct {
	Rows    int          // that were new
	Known   int          // that were there already
	Renamed []fault.Note // pieces that had the name of another
	Second  int          // entries that put right what another entry here had put right before: they are kept, and do not stand
	Refused []fault.Note // lines that make no sense
	Photos  []string     // hashes of photos that are named and not there
	Brought int          // photos that came with a bundle; see TakeBundle
}

// Import takes in what Export has written. Rows that are there already are left as they are. A piece whose name another
// one here has gets a number behind it. Where both logs have put the same entry right, what is here stands.
//
// What Export would not have written is a fault, or, unless the options are strict, is left out and told.
func (l *Log) Import(ctx context.Context, from io.ReadSeeker, opt ImportOptions) (Imported, error) {
	in := &importer{strict: opt.Strict, leftOut: map[string]bool{}, columns: map[string][]string{}}
	for {
		in.begin()
		err := l.Write(ctx, func(w *Writer) error {
			in.Writer = w
			return in.all(from)
		})
		if err == nil {
			break
		}
		if !errors.Is(err, errAgain) {
			return Imported{}, err
		}
		if _, err := from.Seek(0, io.SeekStart); err != nil {
			return Imported{}, err
		}
	}
	hashes, err := l.hashes(ctx)
	if err != nil {
		return in.done, faultOf(l.path, err)
	}
	if err := in.keepDrafts(l, hashes); err != nil {
		return in.done, faultOf(l.path, err)
	}
	for _, hash := range hashes {
		if _, err := l.Photo(hash); err != nil {
			in.done.Photos = append(in.done.Photos, hash)
		}
	}
	return in.done, nil
}

// errAgain says that entries without their details came in: the export is to be read once more, without them.
var errAgain = errors.New("entries are to be left out")

// all takes in the lines of an export.
func (in *importer) all(from io.Reader) error {
	lines := bufio.NewReaderSize(from, 1<<16)
	first, err := nextLine(lines)
	if err != nil {
		return wrong("logbook.no-export").Because(err)
	}
	if err := in.header(first); err != nil {
		return err
	}
	for in.line = 2; ; in.line++ {
		if err := in.ctx.Err(); err != nil {
			return err
		}
		line, err := nextLine(lines)
		if errors.Is(err, io.EOF) {
			return in.leaveOutBare()
		}
		if err == nil {
			err = in.take(line)
		}
		if err != nil {
			if err := in.refuse(err); err != nil {
				return err
			}
		}
	}
}

// nextLine reads a line; io.EOF where none is left. One that is too long is a fault, and passed over.
func nextLine(from *bufio.Reader) (line []byte, _ error) {
	long := false
	for {
		part, err := from.ReadSlice('\n')
		if long = long || len(line)+len(part) > mostLine; !long {
			line = append(line, part...)
		}
		switch atEnd := errors.Is(err, io.EOF); {
		case errors.Is(err, bufio.ErrBufferFull):
		case err != nil && !atEnd:
			return nil, fault.New(fault.Log, "logbook.disk").Because(err)
		case long:
			return nil, wrong("logbook.line-long", "most", mostLine>>20)
		case atEnd && len(line) == 0:
			return nil, io.EOF
		default:
			return line, nil
		}
	}
}

func (in *importer) header(line []byte) error {
	var h header
	if err := json.Unmarshal(line, &h); err != nil || h.Log == 0 {
		return wrong("logbook.no-export").Because(err)
	}
	if h.Log > exportVersion || h.Version > len(in.log.opt.steps) {
		return fault.New(fault.Log, "logbook.export-newer")
	}
	return nil
}

// refuse leaves out a line for a fault of it, or ends the import: where that is strict, and where it is the log or the
// disk that is at fault.
func (in *importer) refuse(err error) error {
	f := fault.Of(faultOf(in.log.path, err))
	if f == nil || f.Kind != fault.Use {
		return err
	}
	why := f.Note
	if f.Code == "logbook.refused" {
		why = fault.Say("logbook.line-refused")
	}
	if in.strict {
		return wrong("logbook.export-refused", "line", in.line, "why", why).Because(f.Err)
	}
	in.done.Refused = append(in.done.Refused, fault.Say("logbook.line", "line", in.line, "why", why))
	return nil
}

// take takes in one line.
func (in *importer) take(line []byte) error {
	var row map[string]json.RawMessage
	if err := json.Unmarshal(line, &row); err != nil {
		return wrong("logbook.line-unreadable").Because(err)
	}
	var is string
	if err := json.Unmarshal(row["is"], &is); err != nil {
		return wrong("logbook.line-unreadable").Because(err)
	}
	delete(row, "is")
	if is == "draft" {
		return in.takeDraft(row)
	}
	at := slices.IndexFunc(exported, func(t exportTable) bool { return t.name == is })
	if at < 0 {
		return wrong("logbook.line-table", "table", is)
	}
	return in.row(&exported[at], row)
}

// leaveOutBare makes sure that every entry that came in has its details; where one has not, the export is read again
// without it.
func (in *importer) leaveOutBare() error {
	bare, err := collect(in.ctx, in.tx, "SELECT e.id FROM entry e WHERE "+withoutDetail, value[int64])
	if err != nil {
		return err
	}
	again := false
	for _, id := range bare {
		uid, came := in.entries[id]
		if !came {
			continue // was here before
		}
		if in.strict {
			return wrong("logbook.export-cut")
		}
		in.leftOut[uid], again = true, true
	}
	if again {
		return errAgain
	}
	return nil
}
