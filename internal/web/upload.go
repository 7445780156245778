package web

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"time"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

const (
	mostUpload   = 64 << 20 // bytes of a photo, and what its form has beside it
	mostReceived = 64       // uploads that are on their way or wait for their turn, each in a file; more wait before they are read
)

var errNothingSent = failed(http.StatusBadRequest, fault.New(fault.Use, "page.nothing-sent"))

// addPhotos takes the photos of a form into a piece: first all of them to the disk, as slowly as they come, then one
// after the other, each in its turn.
func (s *Server) addPhotos(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	return s.takePhotos(w, r, func(context.Context, []*sentPhoto) (string, error) { return d.ID, nil })
}

// takePhotos takes the photos of a form into a piece, whose id it asks for when they have arrived.
func (s *Server) takePhotos(w http.ResponseWriter, r *http.Request, into func(context.Context, []*sentPhoto) (id string, err error)) error {
	done, err := s.startReceiving(r.Context())
	if err != nil {
		return err
	}
	defer done()
	r.Body = http.MaxBytesReader(w, r.Body, mostUpload)
	parts, err := r.MultipartReader()
	if err != nil {
		return errNothingSent
	}
	var sent []*sentPhoto
	defer func() {
		for _, p := range sent {
			p.drop()
		}
	}()
	for {
		p, err := s.receive(parts)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		sent = append(sent, p)
	}
	if len(sent) == 0 {
		return errNothingSent
	}
	id, err := into(r.Context(), sent)
	if err != nil {
		return err
	}
	for _, p := range sent {
		if err := s.admitPhoto(r.Context(), id, p.name, p.read); err != nil {
			return unprocessable(err)
		}
	}
	d, err := s.drafts.load(id)
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/piece/"+id+"/"+afterPhotos(d, r.URL.Query()), http.StatusSeeOther)
	return nil
}

// afterPhotos is the screen that photos lead to: the one that asked for them; else on to the woods where the first is good, and where
// something is wrong with it, back to the photos.
func afterPhotos(d *pieceDraft, asked url.Values) string {
	last := d.Piece.Photos[len(d.Piece.Photos)-1].Name
	if st := screenNamed(asked.Get("to")); st != nil {
		asked.Del("to")
		asked.Set("photo", last)
		return st.name + "?" + asked.Encode()
	}
	if len(d.Piece.Areas) == 0 && len(d.Photos[last].Warnings) == 0 {
		return "woods?" + url.Values{"photo": {last}}.Encode()
	}
	return "photos"
}

// startReceiving waits until fewer than mostReceived uploads are on their way; done lets the next one begin. The error is
// errBusy where that takes too long, or that of the context.
func (s *Server) startReceiving(ctx context.Context) (done func(), err error) {
	late := time.NewTimer(20 * time.Second)
	defer late.Stop()
	select {
	case s.receiving <- struct{}{}:
		return func() { <-s.receiving }, nil
	case <-late.C:
		return nil, errBusy
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// A sentPhoto is a photo that has arrived and lies in a file of its own until it is taken in.
type sentPhoto struct {
	name string // as its sender calls it
	file *os.File
}

// receive writes the next photo of a form to the disk; the error is io.EOF after the last.
func (s *Server) receive(parts *multipart.Reader) (*sentPhoto, error) {
	for {
		part, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return nil, err
		case err != nil:
			return nil, brokenOff(err)
		case part.FormName() != "photo" || part.FileName() == "":
			continue
		}
		p := &sentPhoto{name: oneLine(part.FileName())}
		imageio.Prepare(p.name) // while it arrives
		if p.file, err = os.CreateTemp(s.drafts.folder, halfWritten+"*"); err != nil {
			return nil, err
		}
		if _, err := io.Copy(onDisk{p.file}, part); err != nil {
			p.drop()
			var disk *diskError
			if errors.As(err, &disk) {
				return nil, disk.error
			}
			return nil, brokenOff(err)
		}
		return p, nil
	}
}

func brokenOff(err error) error {
	return failed(http.StatusBadRequest, fault.New(fault.Use, "page.broken-off").Because(err))
}

// onDisk tells faults of the disk from those of the connection.
type onDisk struct{ file *os.File }

func (d onDisk) Write(p []byte) (int, error) {
	n, err := d.file.Write(p)
	if err != nil {
		err = &diskError{err}
	}
	return n, err
}

type diskError struct{ error }

// read is all of the photo.
func (p *sentPhoto) read() ([]byte, error) { return os.ReadFile(p.file.Name()) }

// drop lets go of the file.
func (p *sentPhoto) drop() {
	_ = p.file.Close()
	_ = os.Remove(p.file.Name()) // one that stays is tidied away later
}

// admits makes sure that what was sent is a photo that can be read.
func (s *Server) admits(ctx context.Context, p *sentPhoto) error {
	release, err := s.takeTurn(ctx)
	if err != nil {
		return err
	}
	defer release()
	data, err := p.read()
	if err != nil {
		return err
	}
	return s.album.Admit(ctx, data, p.name)
}

// admitPhoto keeps one photo, looks at it and adds it to the piece.
func (s *Server) admitPhoto(ctx context.Context, id, file string, read func() ([]byte, error)) error {
	hash, look, err := s.keepPhoto(ctx, id, file, read)
	if err != nil {
		return err
	}
	_, err = s.drafts.change(id, "adding a photo", s.now(), func(d *pieceDraft) error {
		if slices.ContainsFunc(d.Piece.Photos, func(p piece.Photo) bool { return p.File == hash }) {
			return nil // it came twice
		}
		p := piece.Photo{Name: d.freeName(filepath.Base(file)), File: hash, Reference: "none"}
		if look.Chart != "" {
			p.Reference, p.Corners = "chart", look.Chart
		}
		d.Piece.Photos = append(d.Piece.Photos, p)
		d.Photos[p.Name] = look
		return nil
	})
	return err
}

// keepPhoto makes sure that bytes are a photo that can be read, keeps them in the log and looks at them. All of that is one
// turn: only one photo that is being taken in is in memory.
func (s *Server) keepPhoto(
	ctx context.Context, id, file string, read func() ([]byte, error),
) (hash string, look workshop.PhotoLook, err error) {
	release, err := s.takeTurn(ctx)
	if err != nil {
		return "", look, err
	}
	defer release()
	d, err := s.drafts.load(id)
	if err != nil {
		return "", look, err
	}
	data, err := read()
	if err == nil {
		err = s.album.Admit(ctx, data, file)
	}
	if err != nil {
		return "", look, err
	}
	err = s.log.Write(ctx, func(w *logbook.Writer) error {
		hash, err = w.KeepPhoto(data, logbook.PhotoFacts{Name: file})
		return err
	})
	if err == nil {
		look, err = workshop.LookAt(ctx, s.album, hash)
	}
	if err == nil {
		_, err = s.keeper(d.Piece.Name).KeepPhotos(ctx, []string{hash}, "")
	}
	return hash, look, err
}
