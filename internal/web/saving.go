package web

import (
	"bufio"
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"time"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/words"
)

const (
	mostTakenIn = 16 << 30         // bytes of a saved log
	stillMoving = 90 * time.Second // that a large file may stand still on its way
	mostTold    = 5                // lines of an import that were refused, told one by one
)

// saveLog sends the whole log as one file, and notes that it has been saved when the last byte of it is on its way. Where the program
// runs in the browser that is nowhere else yet: noteSaved is asked for when it is.
func (s *Server) saveLog(w http.ResponseWriter, r *http.Request) error {
	name := "huewright-log-" + s.now().Local().Format("2006-01-02")
	return s.sendFile(w, "application/zip", name+".zip", func(to io.Writer) error {
		if _, err := s.log.WriteBundle(r.Context(), to, name); err != nil || s.single {
			return err
		}
		return s.log.MarkSaved()
	})
}

// noteSaved notes that the log is elsewhere now, and answers with the words for that.
func (s *Server) noteSaved(w http.ResponseWriter, r *http.Request) error {
	if !s.single {
		return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
	}
	if err := s.log.MarkSaved(); err != nil {
		return err
	}
	said, err := s.savedWords(s.speaker(r))
	if err == nil {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		_, _ = io.WriteString(w, said)
	}
	return err
}

// exportLog sends all rows of the log as text.
func (s *Server) exportLog(w http.ResponseWriter, r *http.Request) error {
	name := "huewright-log-" + s.now().Local().Format("2006-01-02") + ".jsonl"
	return s.sendFile(w, "application/jsonl", name, func(to io.Writer) error { return s.log.Export(r.Context(), to) })
}

// sendFile sends a file that is as large as it becomes. One that cannot be written to its end breaks off, so that no browser keeps it as
// whole.
func (s *Server) sendFile(w http.ResponseWriter, mediaType, name string, write func(io.Writer) error) error {
	to := &lateHeader{w: w, mediaType: mediaType, name: name}
	out := bufio.NewWriterSize(to, 1<<16)
	err := write(out)
	if err == nil {
		err = out.Flush()
	}
	if err != nil && to.begun {
		panic(http.ErrAbortHandler)
	}
	return err
}

// A lateHeader answers with a file once there is something of it, and gives each part of it time.
type lateHeader struct {
	w               http.ResponseWriter
	mediaType, name string
	begun           bool
}

func (l *lateHeader) Write(p []byte) (int, error) {
	if !l.begun {
		l.begun = true
		l.w.Header().Set("Content-Type", l.mediaType)
		l.w.Header().Set("Content-Disposition", `attachment; filename="`+l.name+`"`)
	}
	_ = http.NewResponseController(l.w).SetWriteDeadline(time.Now().Add(stillMoving)) // not every connection has one
	return l.w.Write(p)
}

// takeIn takes in a log that was saved, or an export, and tells on the page of the log what came of it.
func (s *Server) takeIn(w http.ResponseWriter, r *http.Request) error {
	done, err := s.startReceiving(r.Context())
	if err != nil {
		return err
	}
	defer done()
	file, err := s.receiveLog(w, r)
	if err != nil {
		return err
	}
	defer func() {
		_ = file.Close()
		_ = os.Remove(file.Name()) // one that stays is tidied away later
	}()
	_ = http.NewResponseController(w).SetWriteDeadline(time.Time{}) // what is large takes long
	told, err := s.takeInFile(r.Context(), file)
	if err != nil {
		if fault.Is(err, "logbook.no-export", "logbook.no-bundle") {
			err = fault.New(fault.Use, "page.no-log-file").Because(err)
		}
		return unprocessable(err)
	}
	says := s.speaker(r)
	return s.showLog(w, r, form{}, sayImported(says, &told))
}

// takeInFile takes in what was sent, as what it begins as.
func (s *Server) takeInFile(ctx context.Context, file *os.File) (logbook.Imported, error) {
	beginning := make([]byte, 4)
	n, err := file.ReadAt(beginning, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return logbook.Imported{}, err
	}
	if !logbook.IsBundle(beginning[:n]) {
		if _, err := file.Seek(0, io.SeekStart); err != nil {
			return logbook.Imported{}, err
		}
		return s.log.Import(ctx, file, logbook.ImportOptions{})
	}
	info, err := file.Stat()
	if err != nil {
		return logbook.Imported{}, err
	}
	return s.log.TakeBundle(ctx, file, info.Size(), logbook.ImportOptions{})
}

// receiveLog writes the file of a form to the disk, as slowly as it comes.
func (s *Server) receiveLog(w http.ResponseWriter, r *http.Request) (*os.File, error) {
	r.Body = http.MaxBytesReader(w, r.Body, mostTakenIn)
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, failed(http.StatusBadRequest, fault.New(fault.Use, "page.no-log-sent"))
	}
	for {
		part, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return nil, failed(http.StatusBadRequest, fault.New(fault.Use, "page.no-log-sent"))
		case err != nil:
			return nil, failed(http.StatusBadRequest, fault.New(fault.Use, "page.log-broken-off").Because(err))
		case part.FormName() != "log" || part.FileName() == "":
			continue
		}
		return s.writeLog(part, http.NewResponseController(w))
	}
}

func (s *Server) writeLog(part *multipart.Part, connection *http.ResponseController) (*os.File, error) {
	file, err := os.CreateTemp(s.drafts.folder, halfWritten+"*")
	if err != nil {
		return nil, err
	}
	_, err = io.Copy(onDisk{file}, slowly{part, connection})
	if err == nil {
		return file, nil
	}
	_ = file.Close()
	_ = os.Remove(file.Name()) // one that stays is tidied away later
	var disk *diskError
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &disk):
		return nil, disk.error
	case errors.As(err, &large):
		return nil, err
	}
	return nil, failed(http.StatusBadRequest, fault.New(fault.Use, "page.log-broken-off").Because(err))
}

// slowly reads what comes as slowly as it likes, as long as it comes.
type slowly struct {
	from       io.Reader
	connection *http.ResponseController
}

func (s slowly) Read(p []byte) (int, error) {
	_ = s.connection.SetReadDeadline(time.Now().Add(stillMoving)) // not every connection has one
	return s.from.Read(p)
}

// sayImported says what came in.
func sayImported(says words.Speaker, done *logbook.Imported) []string {
	notes := []fault.Note{fault.Say("page.taken-in", "rows", done.Rows)}
	if done.Known > 0 {
		notes = append(notes, fault.Say("page.known-already", "n", done.Known))
	}
	if done.Brought > 0 {
		notes = append(notes, fault.Say("page.photos-brought", "n", done.Brought))
	}
	notes = append(notes, done.Renamed...)
	if done.Second > 0 {
		notes = append(notes, fault.Say("logcmd.second", "n", done.Second))
	}
	if n := len(done.Photos); n > 0 {
		notes = append(notes, fault.Say("page.photos-missing", "n", n))
	}
	if n := len(done.Refused); n > 0 {
		notes = append(notes, fault.Say("page.lines-refused", "n", n))
		notes = append(notes, done.Refused[:min(n, mostTold)]...)
	}
	return says.All(notes)
}

// savedWords say when the log was last saved elsewhere.
func (s *Server) savedWords(says words.Speaker) (string, error) {
	at, err := s.log.Saved()
	if err != nil || at.IsZero() {
		return says.Say(fault.Say("page.never-saved")), err
	}
	return says.Say(fault.Say("page.saved", "days", daysBetween(at.Local(), s.now().Local()))), nil
}

// daysBetween is how many midnights lie between two times.
func daysBetween(from, to time.Time) int {
	day := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month(), t.Day(), 12, 0, 0, 0, time.UTC) }
	return max(0, int(day(to).Sub(day(from)).Hours()/24))
}
