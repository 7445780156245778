package workshop

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/render"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// An Album is the photos of a log, by their hash. It keeps the last few open, and opens one at a time:
// each takes memory and both processors. It is Files for pieces whose photos are named by hash.
type Album struct {
	log  *logbook.Log
	most int

	Limits piece.Limits // set them before the first photo is opened

	mutex   sync.Mutex
	opened  []*openPhoto  // the last used last
	opening chan struct{} // holds one while one is being opened
}

type openPhoto struct {
	hash  string
	photo *imageio.Photo
}

// NewAlbum makes an album that keeps so many photos open.
func NewAlbum(log *logbook.Log, most int) *Album {
	return &Album{log: log, most: most, opening: make(chan struct{}, 1)}
}

func (a *Album) limits() piece.Limits { return a.Limits }

// ReadFile is the bytes of a photo.
func (a *Album) ReadFile(hash string) ([]byte, error) {
	data, err := a.log.Photo(hash)
	if logbook.Is(err, logbook.Wrong) {
		return nil, &fs.PathError{Op: "read", Path: hash, Err: fs.ErrNotExist}
	}
	return data, err
}

// OpenPhoto opens a photo, or has it open.
func (a *Album) OpenPhoto(ctx context.Context, hash string) (*imageio.Photo, error) {
	if p := a.has(hash); p != nil {
		return p, nil
	}
	select {
	case a.opening <- struct{}{}:
		defer func() { <-a.opening }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if p := a.has(hash); p != nil {
		return p, nil
	}
	data, err := a.ReadFile(hash)
	if err != nil {
		return nil, &imageio.PhotoError{Path: fmt.Sprintf("photo %.8s", hash), Problem: "is not in the log", Advice: "add it again"}
	}
	photo, err := imageio.DecodeWithin(ctx, data, fmt.Sprintf("photo %.8s", hash), a.Limits.Photo)
	if err != nil {
		return nil, err
	}
	a.keep(hash, photo)
	return photo, nil
}

func (a *Album) has(hash string) *imageio.Photo {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	for i, o := range a.opened {
		if o.hash == hash {
			a.opened = append(append(a.opened[:i:i], a.opened[i+1:]...), o)
			return o.photo
		}
	}
	return nil
}

// Picture renders a photo upright, at most so many pixels on its longer side; 0 is full size.
func (a *Album) Picture(ctx context.Context, hash string, most int) (image.Image, error) {
	p, err := a.OpenPhoto(ctx, hash)
	if err != nil {
		return nil, err
	}
	c, err := render.NewCanvas(ctx, p, most)
	if err != nil {
		return nil, err
	}
	return c.Picture(), nil
}

// A PhotoLook is what is seen of a photo at once.
type PhotoLook struct {
	Width, Height int
	Format        string
	Warnings      []string
	Chart         string // corners of a chart that was found, as a piece file has them; "" for none
	ChartWhy      string // why none was, in words
	// Papers are outlines of what may be slips of white paper, from left to right.
	Papers []PaperLook `json:",omitempty"`
}

// A PaperLook is something that may be a slip of white paper.
type PaperLook struct {
	Outline string // as a piece file has it
	Corners string // x,y x,y …
	TopX    int    // of its uppermost corner
	TopY    int
}

// Look studies a photo: its size, what its camera noted that bears on colours, and whether there is a
// chart in it.
func (a *Album) Look(ctx context.Context, hash string) (PhotoLook, error) {
	p, err := a.OpenPhoto(ctx, hash)
	if err != nil {
		return PhotoLook{}, err
	}
	look := PhotoLook{Width: p.Width, Height: p.Height, Format: p.Format, Warnings: append([]string{}, p.Warnings...)}
	chart, none := chart.Find(ctx, p, chart.Search{})
	var where *[4]imageio.Point
	if none == nil {
		where = &chart.Corners
	}
	papers, err := evenlight.FindPaper(ctx, p, where)
	if err != nil {
		return PhotoLook{}, err
	}
	// From left to right, so that they have the same numbers in photos that are framed alike.
	slices.SortStableFunc(papers, func(a, b evenlight.Paper) int { return cmp.Compare(a.Outline.Centre().X, b.Outline.Centre().X) })
	for _, paper := range papers {
		l := PaperLook{Outline: paper.Outline.String(), TopY: p.Height}
		for i, c := range paper.Outline.Points {
			if i > 0 {
				l.Corners += " "
			}
			l.Corners += fmt.Sprintf("%.0f,%.0f", c.X, c.Y)
			if int(c.Y) < l.TopY {
				l.TopX, l.TopY = int(c.X), int(c.Y)
			}
		}
		look.Papers = append(look.Papers, l)
	}
	if none != nil {
		look.ChartWhy = "no colour chart was found"
		return look, nil
	}
	var corners []string
	for _, c := range chart.Corners {
		corners = append(corners, fmt.Sprintf("%.1f,%.1f", c.X, c.Y))
	}
	look.Chart = strings.Join(corners, " ")
	return look, nil
}

// A SpotReading is the colour of one outline, for somebody who has just drawn it.
type SpotReading struct {
	Lab       colour.Lab
	PlusMinus float64
	Spread    float64 // of L*
	Pixels    int
	Warnings  []string
	By        string // what its photo's colours are set right by
	Relative  bool
}

// ReadSpot reads an outline in a photo of a piece, by that photo's own reference.
func ReadSpot(ctx context.Context, files Files, p *piece.Piece, photo, outline string) (SpotReading, error) {
	var s SpotReading
	for i := range p.Photos {
		if p.Photos[i].Name != photo {
			continue
		}
		ref, err := p.Photos[i].ReadReference()
		if err != nil {
			return s, err
		}
		o, err := imageio.ParseOutline(outline)
		if err != nil {
			return s, err
		}
		result, err := Measure(ctx, files, MeasureRequest{Photo: p.Photos[i].File, Reference: ref, Areas: []AreaOutline{{Name: "this spot", Outline: o}}})
		if err != nil {
			return s, err
		}
		r := &result.Areas[0].Reading
		return SpotReading{r.Mean, r.PlusMinus, r.Spread[0], r.Pixels, r.Warnings, result.Calibration.Reference, result.Calibration.Relative}, nil
	}
	return s, &piece.UseError{Key: "photo", Problem: fmt.Sprintf("there is no photo %q", photo), Advice: "choose one of the piece's photos"}
}

// Describe says how two colours differ, as a bench says it.
func Describe(from, to colour.Lab) (deltaE float64, words string) {
	return colour.DeltaE2000(from, to), colour.DescribeDifference(from, to)
}

// CheckRepair judges one repair of a piece.
func CheckRepair(ctx context.Context, files Files, p *piece.Piece, name string) (CheckRequest, *CheckResult, error) {
	for _, r := range p.Repairs {
		if r.Name != name {
			continue
		}
		req, err := checkRequest(p, r)
		if err != nil {
			return req, nil, err
		}
		result, err := Check(ctx, files, req)
		return req, result, err
	}
	return CheckRequest{}, nil, &piece.UseError{Key: "repair", Problem: fmt.Sprintf("there is no repair %q", name), Advice: "name one of the piece's repairs"}
}

// Admit makes sure that bytes are a photo that can be read, and keeps it open under their hash, which
// is what KeepPhoto will call them. The error is a *imageio.PhotoError, or
// that of the context.
func (a *Album) Admit(ctx context.Context, data []byte, name string) error {
	select {
	case a.opening <- struct{}{}:
		defer func() { <-a.opening }()
	case <-ctx.Done():
		return ctx.Err()
	}
	photo, err := imageio.DecodeWithin(ctx, data, name, a.Limits.Photo)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	a.keep(hex.EncodeToString(sum[:]), photo)
	return nil
}

// keep keeps a photo open, and lets go of the one that was not used for longest.
func (a *Album) keep(hash string, photo *imageio.Photo) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	a.opened = append(a.opened, &openPhoto{hash, photo})
	if len(a.opened) > a.most {
		a.opened = append([]*openPhoto{}, a.opened[len(a.opened)-a.most:]...)
	}
}

// ParseColour reads a colour as three figures, L*, a*, b*, or as a code, #7a5a40. It returns a *UseError
// for anything else.
func ParseColour(text string) (c colour.Lab, err error) {
	wrong := &piece.UseError{Key: "colour", Problem: fmt.Sprintf("%q is no colour", text), Advice: "write L*, a*, b* as 44, 14, 20; or a code as #7a5a40"}
	if strings.HasPrefix(text, "#") {
		rgb, err := colour.ParseHex(text)
		if err != nil {
			return c, wrong
		}
		return rgb.Linear().Lab(), nil
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' })
	figures := []*float64{&c.L, &c.A, &c.B}
	if len(parts) != len(figures) {
		return c, wrong
	}
	for i, p := range parts {
		if *figures[i], err = strconv.ParseFloat(p, 64); err != nil {
			return c, wrong
		}
	}
	return c, nil
}
