package web

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/base32"
	"html/template"
	"strings"
	"sync"
	"time"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/workshop"
)

//go:embed static pages
var files embed.FS

// A Server serves the pages of one log. Its methods may be called from any number of goroutines.
type Server struct {
	log     *logbook.Log
	album   *record.Album
	drafts  *draftStore
	plans   *planCache
	woods   workshop.Taker
	tryout  tryout
	spots   spotCache
	program string
	pages   *template.Template
	now     func() time.Time
	under   string // the path below which the pages lie, as /tools; "" for the root
	single  bool   // one person alone can ask: nobody is paired
	found   string // the folder of files that have lost their names; "" for none

	hosts    sync.Map // host:port that requests may name
	codes    *codes
	browsers *browserStore
	say      func(code string) // shows a new code where the program was started; may be nil

	heavy   chan struct{} // holds one while a photo is decoded or a piece planned
	waiting chan struct{} // holds one for each request that waits for heavy, or has it; uploads apart

	receiving chan struct{} // holds one for each upload that is on its way, or waits for heavy
}

// Options say how the pages are served.
type Options struct {
	Hosts   []string         // host:port that requests may name, such as 127.0.0.1:8080; none means that all are refused
	Program string           // version of the program, for the log
	NewCode func(string)     // shows a new code for pairing where the program was started; nil shows none
	Now     func() time.Time // the clock; nil means time.Now
	Limits  piece.Limits     // of photos and pieces
	Alone   bool             // one person alone can ask, as in a browser that runs the program itself: nobody is paired
	Under   string           // where Alone, the path below which the pages lie, such as /tools; none means the root
	Found   string           // where Alone, the folder of files that have lost their names: what TakeFound made of it is shown
}

const (
	openPhotos = 3           // kept open
	planPixels = 300_000_000 // of photos of plans that are kept to be shown: half a gigabyte
	mostWaits  = 60          // requests for heavy work at once; more are told to come again
)

// New makes a server over an open log. The error is that of making the folder for drafts beside the log.
func New(log *logbook.Log, opt Options) (*Server, error) {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	s := &Server{
		log: log, album: record.NewAlbum(log, openPhotos), program: opt.Program, now: opt.Now, say: opt.NewCode,
		codes: &codes{now: opt.Now, until: map[string]time.Time{}},
		heavy: make(chan struct{}, 1), waiting: make(chan struct{}, mostWaits), receiving: make(chan struct{}, mostReceived),
	}
	if opt.Alone {
		s.single, s.under, s.found = true, strings.TrimSuffix(opt.Under, "/"), opt.Found
	}
	for _, h := range opt.Hosts {
		s.AllowHost(h)
	}
	s.album.Limits = opt.Limits
	var err error
	if s.drafts, err = openDrafts(log.DraftFolder()); err != nil {
		return nil, err
	}
	if !s.single {
		if s.browsers, err = openBrowsers(browsersOf(log.Path()), opt.Now); err != nil {
			return nil, err
		}
	}
	s.tryout.folder = demoFolderOf(log.Path())
	s.tryout.sweep()
	s.plans = newPlanCache(planPixels)
	s.pages, err = template.New("").Funcs(pageFunctions).ParseFS(files, "pages/*.html")
	return s, err
}

// keeper writes into the log under a piece.
func (s *Server) keeper(piece string) *record.Keeper {
	return &record.Keeper{Log: s.log, Piece: piece, Program: s.program, Files: s.album}
}

// randomText is so many random bytes, in letters and digits.
func randomText(bytes int) string {
	b := make([]byte, bytes)
	_, _ = rand.Read(b) // never fails
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
}

var errBusy = fault.New(fault.Slow, "page.busy")

// acquire waits until no other request does heavy work; release lets the next one begin. The error is errBusy
// where too many wait, or that of the context.
func (s *Server) acquire(ctx context.Context) (release func(), err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case s.waiting <- struct{}{}:
	default:
		return nil, errBusy
	}
	done, err := s.takeTurn(ctx)
	if err != nil {
		<-s.waiting
		return nil, err
	}
	return func() { done(); <-s.waiting }, nil
}

// takeTurn is acquire for work whose number is bounded otherwise.
func (s *Server) takeTurn(ctx context.Context) (release func(), err error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	select {
	case s.heavy <- struct{}{}:
		return func() { <-s.heavy }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}
