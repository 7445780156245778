package web

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"path/filepath"
	"slices"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// mostUpload is how many bytes a photo may have, and what its form has beside it.
const mostUpload = 64 << 20

var errNothingSent = failed(http.StatusBadRequest, fault.New(fault.Use, "page.nothing-sent"))

// addPhotos takes the photos of a form into a piece, each as it arrives.
func (s *Server) addPhotos(w http.ResponseWriter, r *http.Request) error {
	if _, err := s.draftOf(r); err != nil {
		return err
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostUpload)
	parts, err := r.MultipartReader()
	if err != nil {
		return errNothingSent
	}
	id, added := r.PathValue("id"), 0
	for {
		file, data, err := nextPhoto(parts)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return failed(http.StatusBadRequest, fault.New(fault.Use, "page.broken-off").Because(err))
		}
		if err := s.admitPhoto(r.Context(), id, file, data); err != nil {
			return unprocessable(err)
		}
		added++
	}
	if added == 0 {
		return errNothingSent
	}
	http.Redirect(w, r, "/piece/"+id+"#photos", http.StatusSeeOther)
	return nil
}

// nextPhoto reads the next file of a form; the error is io.EOF after the last.
func nextPhoto(parts *multipart.Reader) (file string, data []byte, err error) {
	for {
		part, err := parts.NextPart()
		if err != nil {
			return "", nil, err
		}
		if part.FormName() == "photo" && part.FileName() != "" {
			data, err := io.ReadAll(part)
			return oneLine(part.FileName()), data, err
		}
	}
}

// admitPhoto keeps one photo, looks at it and adds it to the piece.
func (s *Server) admitPhoto(ctx context.Context, id, file string, data []byte) error {
	hash, err := s.keepPhoto(ctx, file, data)
	if err != nil {
		return err
	}
	look, err := workshop.LookAt(ctx, s.album, hash)
	if err != nil {
		return err
	}
	d, err := s.drafts.change(id, "adding a photo", s.now(), func(d *pieceDraft) error {
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
	if err != nil {
		return err
	}
	_, err = s.keeper(d.Piece.Name).KeepPhotos(ctx, []string{hash}, "")
	return err
}

// keepPhoto makes sure that bytes are a photo that can be read, one at a time, and keeps them in the log.
func (s *Server) keepPhoto(ctx context.Context, file string, data []byte) (hash string, err error) {
	release, err := s.acquire(ctx)
	if err != nil {
		return "", err
	}
	defer release()
	if err := s.album.Admit(ctx, data, file); err != nil {
		return "", err
	}
	err = s.log.Write(ctx, func(w *logbook.Writer) error {
		hash, err = w.KeepPhoto(data, logbook.PhotoFacts{Name: file})
		return err
	})
	return hash, err
}
