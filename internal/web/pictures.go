package web

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"net/http"
	"slices"
	"strconv"

	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/clientpage"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

var errNoPlan = fault.New(fault.Use, "page.no-plan")

// photo shows a photo of the log, as large as asked for.
func (s *Server) photo(w http.ResponseWriter, r *http.Request) error {
	longest := 1600
	if n, err := strconv.Atoi(r.URL.Query().Get("w")); err == nil && n >= 100 && n <= 2400 {
		longest = n
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return failed(http.StatusServiceUnavailable, err)
	}
	img, err := s.picture(r.Context(), r.PathValue("hash"), longest)
	release()
	if err != nil {
		return failed(http.StatusNotFound, err)
	}
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable") // its name is its content
	return writeJPEG(w, img)
}

// picture is a photo of the log, or else of the demo's.
func (s *Server) picture(ctx context.Context, hash string, longest int) (image.Image, error) {
	img, err := s.album.Picture(ctx, hash, longest)
	if err == nil {
		return img, nil
	}
	d, leave, none := s.enterDemo(ctx, false)
	if none != nil || d == nil {
		return nil, err
	}
	defer leave()
	return d.album.Picture(ctx, hash, longest)
}

func writeJPEG(w http.ResponseWriter, img image.Image) error {
	if n, ok := img.(*image.NRGBA); ok && n.Opaque() { // the same pixels, of a kind that the encoder is four times as quick with
		img = &image.RGBA{Pix: n.Pix, Stride: n.Stride, Rect: n.Rect}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 85}); err != nil {
		return err
	}
	w.Header().Set("Content-Length", strconv.Itoa(out.Len()))
	write(w, "image/jpeg", "", out.Bytes())
	return nil
}

// plannedDraft is a request's piece with its plan.
func (s *Server) plannedDraft(r *http.Request) (*pieceDraft, *shownPlan, error) {
	d, err := s.draftOf(r)
	if err != nil {
		return nil, nil, err
	}
	m, err := s.planned(r.Context(), d)
	switch {
	case err != nil:
		return nil, nil, failed(http.StatusServiceUnavailable, err)
	case m == nil:
		return nil, nil, failed(http.StatusConflict, errNoPlan)
	case m.cachedPlan == nil:
		return nil, nil, failed(http.StatusConflict, m.fault)
	}
	return d, m, nil
}

// preview shows a photo as it would look, or, asked with now or lamp, in the same size as it is or as it would look by lamp.
func (s *Server) preview(w http.ResponseWriter, r *http.Request) error {
	_, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	photo := r.PathValue("photo")
	if !slices.Contains(m.preview.Photos(), photo) {
		return failed(http.StatusNotFound, errNoPhoto)
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return failed(http.StatusServiceUnavailable, err)
	}
	defer release()
	shown := m.preview
	if i, err := strconv.Atoi(r.URL.Query().Get("choice")); err == nil {
		other := m.result.Choosing(i)
		if other == nil {
			return failed(http.StatusNotFound, errNoPlan)
		}
		shown = workshop.NewPreview(m.photos, other, workshop.PreviewOptions{Width: 500, Clear: true})
	}
	var img image.Image
	switch asked := r.URL.Query(); {
	case asked.Has("now"):
		img, err = m.preview.Before(r.Context(), photo)
	case asked.Has("lamp"):
		img, _, err = shown.AfterByLamp(r.Context(), photo)
	default:
		img, _, err = shown.After(r.Context(), photo)
	}
	if err != nil {
		return unprocessable(err)
	}
	m.cache(w, r)
	return writeJPEG(w, img)
}

// cache lets a browser keep a picture whose address names the plan that it is of.
func (p *cachedPlan) cache(w http.ResponseWriter, r *http.Request) {
	if r.URL.Query().Has(p.key.short()) {
		w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	}
}

// strip shows an area after each coat.
func (s *Server) strip(w http.ResponseWriter, r *http.Request) error {
	_, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	a := m.result.Named(r.PathValue("area"))
	if a == nil {
		return failed(http.StatusNotFound, errNoArea)
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return failed(http.StatusServiceUnavailable, err)
	}
	defer release()
	pictures, shown, err := m.preview.Strip(r.Context(), a.Area.Name)
	if err != nil {
		return unprocessable(err)
	}
	m.cache(w, r)
	return writeJPEG(w, picture.Strip(pictures, shown, a.Planned()))
}

// cardPolicy lets a card have the photos and the one style that are in it.
func cardPolicy(nonce string) string {
	return "default-src 'none'; img-src data:; style-src 'nonce-" + nonce + "'; frame-ancestors 'none'; base-uri 'none'"
}

// card shows the sheet to hang over the bench.
func (s *Server) card(w http.ResponseWriter, r *http.Request) error {
	d, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	c, err := s.cardOf(r.Context(), d, m)
	if err != nil {
		return err
	}
	c.Nonce = randomText(10)
	var out bytes.Buffer
	if err := card.HTML(&out, c, card.PaperFor(d.Piece.Units)); err != nil {
		return err
	}
	w.Header().Set("Content-Security-Policy", cardPolicy(c.Nonce))
	write(w, "text/html; charset=utf-8", "", out.Bytes())
	return nil
}

// cardPDF is the same sheet as PDF.
func (s *Server) cardPDF(w http.ResponseWriter, r *http.Request) error {
	d, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	c, err := s.cardOf(r.Context(), d, m)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if err := card.PDF(&out, c, card.PaperFor(d.Piece.Units)); err != nil {
		return err
	}
	write(w, "application/pdf", `inline; filename="card.pdf"`, out.Bytes())
	return nil
}

// client shows the page for the owner of the piece.
func (s *Server) client(w http.ResponseWriter, r *http.Request) error {
	return s.clientPage(w, r, func(w http.ResponseWriter, page *clientpage.Page, paper string) error {
		page.Nonce = randomText(10)
		var out bytes.Buffer
		if err := clientpage.HTML(&out, page, paper); err != nil {
			return err
		}
		w.Header().Set("Content-Security-Policy", cardPolicy(page.Nonce))
		write(w, "text/html; charset=utf-8", "", out.Bytes())
		return nil
	})
}

// clientPDF is the same page as PDF.
func (s *Server) clientPDF(w http.ResponseWriter, r *http.Request) error {
	return s.clientPage(w, r, func(w http.ResponseWriter, page *clientpage.Page, paper string) error {
		var out bytes.Buffer
		if err := clientpage.PDF(&out, page, paper); err != nil {
			return err
		}
		write(w, "application/pdf", `inline; filename="client.pdf"`, out.Bytes())
		return nil
	})
}

func (s *Server) clientPage(
	w http.ResponseWriter, r *http.Request, answer func(http.ResponseWriter, *clientpage.Page, string) error,
) error {
	d, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return failed(http.StatusServiceUnavailable, err)
	}
	page, err := s.clientPageOf(r.Context(), d, m)
	release()
	if err != nil {
		return unprocessable(err)
	}
	return answer(w, page, card.PaperFor(d.Piece.Units))
}

// calendar is the timetable as a calendar file.
func (s *Server) calendar(w http.ResponseWriter, r *http.Request) error {
	d, m, err := s.plannedDraft(r)
	if err != nil {
		return err
	}
	_, schedule, err := s.scheduled(d, m)
	if err != nil {
		return err
	}
	name := d.Piece.Name
	if !m.outdated.Empty() {
		name += " (out of date)"
	}
	var out bytes.Buffer
	style := report.Style{}.Of(&d.Piece)
	if err := style.Calendar(&out, name, schedule, s.now()); err != nil {
		return err
	}
	write(w, "text/calendar; charset=utf-8", `attachment; filename="coats.ics"`, out.Bytes())
	return nil
}
