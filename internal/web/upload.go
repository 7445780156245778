package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"path/filepath"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

// mostUpload is how many bytes a photo may have, and what its form has beside it.
const mostUpload = 64 << 20

// addPhoto takes in photos.
func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("id")
	if s.draftOf(w, r) == nil {
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostUpload)
	parts, err := r.MultipartReader()
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, &wrong{"no photo came along", "choose one, then send it again"}, "")
		return
	}
	added := 0
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, err, "send it again")
			return
		}
		if part.FormName() != "photo" || part.FileName() == "" {
			continue
		}
		data, err := io.ReadAll(part)
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, err, "send it again")
			return
		}
		if err := s.takeIn(r.Context(), id, part.FileName(), data); err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, err, "")
			return
		}
		added++
	}
	if added == 0 {
		s.fail(w, r, http.StatusBadRequest, &wrong{"no photo came along", "choose one, then send it again"}, "")
		return
	}
	http.Redirect(w, r, "/piece/"+id+"#photos", http.StatusSeeOther)
}

// takeIn keeps one photo, studies it and adds it to the piece.
func (s *Server) takeIn(ctx context.Context, id, file string, data []byte) error {
	hash, err := s.looked(ctx, file, data)
	if err != nil {
		return err
	}
	look, err := workshop.LookAt(ctx, s.album, hash)
	if err != nil {
		return err
	}
	d, err := s.drafts.change(id, "adding a photo", s.now(), func(d *Draft) error {
		for _, p := range d.Piece.Photos {
			if p.File == hash {
				return nil // it came twice
			}
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
	k := record.Keeper{Log: s.log, Piece: d.Piece.Name, Program: s.program, Files: s.album}
	_, err = k.KeepPhotos(ctx, []string{hash}, "")
	return err
}

// looked makes sure that bytes are a photo that can be read, one at a time, and keeps them.
func (s *Server) looked(ctx context.Context, file string, data []byte) (hash string, err error) {
	done, err := s.turn(ctx)
	if err != nil {
		return "", err
	}
	defer done()
	if err := s.album.Admit(ctx, data, file); err != nil {
		return "", err
	}
	err = s.log.Write(ctx, func(w *logbook.Writer) error {
		hash, err = w.KeepPhoto(data, logbook.PhotoFacts{Name: file})
		return err
	})
	return hash, err
}
