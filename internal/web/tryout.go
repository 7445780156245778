package web

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"huewright/internal/demo"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

const (
	// demoID is the id of the demo's piece. No other has it: theirs are longer.
	demoID   = "musiccabinet"
	demoName = "music cabinet (demo)"
)

// A tryout is the demo's cabinet: the same pages, over a log of its own in a folder beside the log. So the log learns nothing from it,
// and all of it goes at once.
type tryout struct {
	folder string
	mutex  sync.RWMutex // held for reading while a page of it is answered
	server *Server      // nil where nobody has opened it yet
}

func (t *tryout) path() string { return filepath.Join(t.folder, "log.db") }

// demoFolderOf is where the demo of a log lies.
func demoFolderOf(path string) string { return strings.TrimSuffix(path, ".db") + "-demo" }

// gone is what the folder is called while it is taken away.
func (t *tryout) gone() string { return t.folder + "-gone" }

// there reports whether somebody has begun the demo.
func (t *tryout) there() bool {
	_, err := os.Stat(t.path())
	return err == nil
}

// enterDemo gives the pages of the demo until leave is called. They are nil where nobody has begun it and begin is false.
func (s *Server) enterDemo(ctx context.Context, begin bool) (d *Server, leave func(), err error) {
	t := &s.tryout
	if !begin && !t.there() {
		return nil, func() {}, nil
	}
	t.mutex.RLock()
	if t.server != nil && t.there() {
		return t.server, t.mutex.RUnlock, nil
	}
	t.mutex.RUnlock()
	if err := s.openDemo(ctx); err != nil {
		return nil, nil, err
	}
	return s.enterDemo(ctx, begin) // somebody may have taken it away since
}

// openDemo opens the demo's log, and makes it where there is none.
func (s *Server) openDemo(ctx context.Context) error {
	t := &s.tryout
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if t.server != nil && t.there() {
		return nil // somebody was quicker
	}
	t.close() // of a folder that another program took away
	log, err := logbook.Open(ctx, t.path(), logbook.Options{Make: true, Now: s.now})
	if err != nil {
		return err
	}
	d := &Server{
		log: log, album: record.NewAlbum(log, openPhotos), plans: newPlanCache(planPixels), program: s.program, pages: s.pages, now: s.now,
		heavy: s.heavy, waiting: s.waiting, receiving: s.receiving, under: s.under, single: s.single,
	}
	d.album.Limits = s.album.Limits
	if d.drafts, err = openDrafts(log.DraftFolder()); err != nil {
		return errors.Join(err, log.Close())
	}
	t.server = d
	return nil
}

// close lets go of the demo's log. The mutex is held, or no page is answered any more.
func (t *tryout) close() {
	if t.server != nil {
		_ = t.server.log.Close() // what was written is on the disk already
		t.server = nil
	}
}

// end lets go of the demo's log when the pages end.
func (t *tryout) end() {
	if t.mutex.TryLock() { // where a page of it still goes on, the end of the program closes it
		defer t.mutex.Unlock()
		t.close()
	}
}

// serving is the server whose piece a request names: that of the demo, or this one.
func (s *Server) serving(r *http.Request) (at *Server, leave func(), err error) {
	if r.PathValue("id") != demoID {
		return s, func() {}, nil
	}
	d, leave, err := s.enterDemo(r.Context(), false)
	if err == nil && d == nil {
		err = failed(http.StatusNotFound, errNoDraft)
	}
	return d, leave, err
}

// beginDemo draws the demo's cabinet and goes to its woods, or goes on with the one that is there.
func (s *Server) beginDemo(w http.ResponseWriter, r *http.Request) error {
	d, leave, err := s.enterDemo(r.Context(), false)
	if err == nil && d != nil {
		_, err := d.drafts.load(demoID)
		leave()
		if err == nil {
			http.Redirect(w, r, "/piece/"+demoID, http.StatusSeeOther)
			return nil
		}
	}
	if err != nil { // what cannot be opened is no loss
		if err := s.tryout.takeAway(r.Context()); err != nil {
			return err
		}
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return err
	}
	cabinet, err := demo.Draw(r.Context(), false)
	release()
	if err != nil {
		return err
	}
	if d, leave, err = s.enterDemo(r.Context(), true); err != nil {
		return err
	}
	defer leave()
	if err := d.keepCabinet(r.Context(), cabinet); err != nil {
		return err
	}
	http.Redirect(w, r, "/piece/"+demoID+"/woods", http.StatusSeeOther)
	return nil
}

// keepCabinet makes a draft of the drawn cabinet, unless there is one.
func (s *Server) keepCabinet(ctx context.Context, c *demo.Cabinet) error {
	p := *c.Piece
	p.Name = demoName
	photo := &p.Photos[0]
	err := s.log.Write(ctx, func(w *logbook.Writer) (err error) {
		if err = w.BeginOnce(p.Name); err == nil {
			photo.File, err = w.KeepPhoto(c.Files[demo.Photo], logbook.PhotoFacts{Name: demo.Photo})
		}
		return err
	})
	if err != nil {
		return err
	}
	photo.Reference = "chart"
	inPhoto(&p, photo.Name)
	look, err := s.lookAt(ctx, photo.File)
	if err != nil {
		return err
	}
	d := &pieceDraft{
		ID: demoID, Piece: p, Photos: map[string]workshop.PhotoLook{photo.Name: look}, Read: map[string]workshop.SpotReading{},
		Changed: s.now(), Did: "beginning",
	}
	if err := s.readAll(ctx, d); err != nil {
		return err
	}
	if err := s.drafts.begin(d); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return nil
}

// inPhoto says of all that a piece marks that it is marked in one photo.
func inPhoto(p *piece.Piece, name string) {
	for i := range p.Areas {
		p.Areas[i].Photo = name
	}
	for i := range p.Repairs {
		p.Repairs[i].Photo = name
	}
	sources := []*piece.ColourSource{p.Target}
	for i := range p.Coatings {
		k := &p.Coatings[i]
		sources = append(sources, k.Chip)
		for n := range k.Tests {
			sources = append(sources, &k.Tests[n].Ground, &k.Tests[n].Result)
		}
	}
	for _, s := range sources {
		if s != nil && s.Outline != "" {
			s.Photo = name
		}
	}
}

// lookAt looks at a photo of the log, in its turn.
func (s *Server) lookAt(ctx context.Context, hash string) (workshop.PhotoLook, error) {
	release, err := s.acquire(ctx)
	if err != nil {
		return workshop.PhotoLook{}, err
	}
	defer release()
	return workshop.LookAt(ctx, s.album, hash)
}

// drawDemo takes the photo that somebody would take of the cabinet now, with the coats that are on it, and looks at an area of it.
func (s *Server) drawDemo(w http.ResponseWriter, r *http.Request) error {
	d, err := s.draftOf(r)
	if err != nil {
		return err
	}
	if d.ID != demoID {
		return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
	}
	coats, n := map[string]map[string]int{}, 0
	put := func(area, coating string, count int) {
		if coats[area] == nil {
			coats[area] = map[string]int{}
		}
		coats[area][coating] += count
		n += count
	}
	for _, a := range d.Piece.Areas {
		for _, l := range a.Laid {
			put(a.Name, l.Coating, l.Coats)
		}
		if on := d.On[a.Name]; on.Coats > 0 {
			put(a.Name, on.Coating, on.Coats)
		}
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return err
	}
	photo, err := demo.Later(r.Context(), &d.Piece, coats)
	release()
	if err != nil {
		return err
	}
	name := fmt.Sprintf("%s on.jpg", plural(n, "coat"))
	if err := s.admitPhoto(r.Context(), d.ID, name, func() ([]byte, error) { return photo, nil }); err != nil {
		return err
	}
	if d, err = s.drafts.load(d.ID); err != nil {
		return err
	}
	asked := url.Values{"look": {"1"}, "area": {r.URL.Query().Get("area")}, "photo": {d.Piece.Photos[len(d.Piece.Photos)-1].Name}}
	http.Redirect(w, r, "/piece/"+d.ID+"/bench?"+asked.Encode(), http.StatusSeeOther)
	return nil
}

// removeDemo takes the demo away, with all that was done on it.
func (s *Server) removeDemo(w http.ResponseWriter, r *http.Request) error {
	if err := s.tryout.takeAway(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// takeAway removes the folder once no page of the demo is being answered; the error is errBusy where that takes too long.
func (t *tryout) takeAway(ctx context.Context) error {
	turn, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for !t.mutex.TryLock() {
		select {
		case <-turn.Done():
			return errors.Join(errBusy, ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
	defer t.mutex.Unlock()
	t.close()
	t.sweep()
	if err := os.Rename(t.folder, t.gone()); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	t.sweep()
	return nil
}

// sweep removes what is left of a demo that was taken away.
func (t *tryout) sweep() { _ = os.RemoveAll(t.gone()) } // what stays does no harm
