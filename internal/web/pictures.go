package web

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"strconv"

	"huewright/internal/report"
)

var errNoPlan = &wrong{"this piece is not planned as it now is", "plan it first"}

// photo shows a photo of the log, as large as asked for.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) {
	most := 1600
	if n, err := strconv.Atoi(r.URL.Query().Get("w")); err == nil && n >= 100 && n <= 2400 {
		most = n
	}
	done, err := s.turn(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusServiceUnavailable, err, "")
		return
	}
	img, err := s.album.Picture(r.Context(), r.PathValue("hash"), most)
	done()
	if err != nil {
		s.fail(w, r, http.StatusNotFound, err, "")
		return
	}
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable") // its name is its content
	s.jpeg(w, r, img)
}

func (s *Server) jpeg(w http.ResponseWriter, r *http.Request, img image.Image) {
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Header().Set("Content-Length", strconv.Itoa(out.Len()))
	_, _ = w.Write(out.Bytes()) // whoever asked may be gone
}

// made is the plan of a request's piece as it now is.
func (s *Server) made(w http.ResponseWriter, r *http.Request) (*Draft, *madePlan) {
	d := s.draftOf(w, r)
	if d == nil {
		return nil, nil
	}
	m, err := s.planned(r.Context(), d)
	if err != nil {
		s.fail(w, r, http.StatusServiceUnavailable, err, "")
		return nil, nil
	}
	if m == nil {
		s.fail(w, r, http.StatusConflict, errNoPlan, "")
		return nil, nil
	}
	return d, m
}

// preview shows a photo as it would look, or, asked with now, in the same size as it is.
func (s *Server) preview(w http.ResponseWriter, r *http.Request) {
	_, m := s.made(w, r)
	if m == nil {
		return
	}
	photo := r.PathValue("photo")
	known := false
	for _, name := range m.preview.Photos() {
		known = known || name == photo
	}
	if !known {
		s.fail(w, r, http.StatusNotFound, errNoPhoto, "")
		return
	}
	done, err := s.turn(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusServiceUnavailable, err, "")
		return
	}
	defer done()
	if r.URL.Query().Has("now") {
		s.rendered(w, r)(m.preview.Before(r.Context(), photo))
		return
	}
	img, _, err := m.preview.After(r.Context(), photo)
	s.rendered(w, r)(img, err)
}

// rendered answers with a picture, or says why there is none.
func (s *Server) rendered(w http.ResponseWriter, r *http.Request) func(image.Image, error) {
	return func(img image.Image, err error) {
		if err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, err, "")
			return
		}
		s.jpeg(w, r, img)
	}
}

// strip shows an area after each coat.
func (s *Server) strip(w http.ResponseWriter, r *http.Request) {
	_, m := s.made(w, r)
	if m == nil {
		return
	}
	a := m.result.Named(r.PathValue("area"))
	if a == nil {
		s.fail(w, r, http.StatusNotFound, errNoArea, "")
		return
	}
	done, err := s.turn(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusServiceUnavailable, err, "")
		return
	}
	defer done()
	pictures, shown, err := m.preview.Strip(r.Context(), a.Area.Name)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, err, "")
		return
	}
	s.jpeg(w, r, report.StripPicture(pictures, shown, m.result.Planned(a)))
}

func paperOf(d *Draft) string {
	if d.Piece.Units == "us" {
		return report.Papers[1]
	}
	return report.Papers[0]
}

func (s *Server) card(w http.ResponseWriter, r *http.Request) {
	d, m := s.made(w, r)
	if m == nil {
		return
	}
	c, _, err := s.cardOf(r.Context(), d, m)
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	c.Nonce = token(10)
	var out bytes.Buffer
	if err := report.CardHTML(&out, c, paperOf(d)); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	w.Header().Set("Content-Security-Policy", fmt.Sprintf("default-src 'none'; img-src data:; style-src 'nonce-%s'; frame-ancestors 'none'; base-uri 'none'", c.Nonce))
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(out.Bytes())
}

func (s *Server) cardPDF(w http.ResponseWriter, r *http.Request) {
	d, m := s.made(w, r)
	if m == nil {
		return
	}
	c, _, err := s.cardOf(r.Context(), d, m)
	var out bytes.Buffer
	if err == nil {
		err = report.CardPDF(&out, c, paperOf(d))
	}
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", `inline; filename="card.pdf"`)
	_, _ = w.Write(out.Bytes())
}

func (s *Server) calendar(w http.ResponseWriter, r *http.Request) {
	d, m := s.made(w, r)
	if m == nil {
		return
	}
	_, schedule, err := s.cardOf(r.Context(), d, m)
	var out bytes.Buffer
	if err == nil {
		err = report.Calendar(&out, d.Piece.Name, schedule, s.now())
	}
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="coats.ics"`)
	_, _ = w.Write(out.Bytes())
}
