package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"huewright/imageio"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// errSomePhotos is returned after a result in which some photos are missing.
var errSomePhotos = errors.New("some photos could not be used")

// runSeveral measures several photos, one by one or tied.
func runSeveral(ctx context.Context, stdout, stderr io.Writer, photos, ties []string, flags *photoFlags, keep *keepFlags) error {
	log, closeLog, err := keep.open(ctx, stderr)
	if err != nil {
		return err
	}
	defer closeLog()
	req, err := flags.several(photos, ties)
	if err != nil {
		return err
	}
	finish := progress(&req, stderr)
	result, err := workshop.MeasureSeveral(ctx, disk(ctx, ""), req)
	finish()
	if err != nil {
		return err
	}
	write := report.SeveralText
	if flags.json {
		write = report.SeveralJSON
	}
	if err := write(stdout, result); err != nil {
		return err
	}
	if log != nil {
		kept, err := answer(report.SeveralJSON, result)
		if err != nil {
			return err
		}
		readings := make([]*workshop.MeasureResult, len(result.Photos))
		for i, p := range result.Photos {
			readings[i] = p.Result
		}
		done, err := keep.keeper(log, disk(ctx, "")).KeepMeasure(ctx, req, readings, kept)
		if err != nil {
			return err
		}
		if err := keep.say(stdout, stderr, flags.json, done); err != nil {
			return err
		}
	}
	relative := false
	for _, p := range result.Photos {
		if p.Err != nil {
			return errSomePhotos
		}
		relative = relative || p.Result.Calibration.Relative
	}
	return flags.settle(relative)
}

// progress shows on a terminal how many photos are done, and returns what takes it away again.
func progress(req *workshop.SeveralRequest, stderr io.Writer) (finish func()) {
	if f, ok := stderr.(*os.File); !ok || !term.IsTerminal(int(f.Fd())) {
		return func() {}
	}
	bar := progressbar.NewOptions(len(req.Photos), progressbar.OptionSetWriter(stderr),
		progressbar.OptionSetDescription("photos"), progressbar.OptionShowCount(), progressbar.OptionClearOnFinish())
	req.Done = func() { _ = bar.Add(1) } // what cannot be shown is not missed
	return func() { _ = bar.Finish() }
}

// several turns the flags into what workshop is asked. What is marked in one photo by its pixels
// has no place in another, so only areas and ties may be given.
func (f *photoFlags) several(photos, ties []string) (workshop.SeveralRequest, error) {
	var req workshop.SeveralRequest
	for flag, given := range map[string]bool{
		"--corners": f.corners != "", "--chart-at": f.chartAt != "", "--grey": f.grey != "", "--neutral": len(f.neutrals) > 0,
		"--flat": f.flat != "", "--length": f.length != "", "--overlay": f.overlay != "",
	} {
		if given {
			return req, wrongUse("measure that photo by itself, or describe the photos in a piece file, see \"huewright plan --help\"", "%s is of one photo, and %d are named", flag, len(photos))
		}
	}
	bare := *f
	bare.areas = nil
	for _, photo := range photos {
		one, err := bare.request(photo)
		if err != nil {
			return req, err
		}
		req.Photos = append(req.Photos, one)
	}
	for _, s := range f.areas {
		name, at, outline, err := marked("--area", s, photos)
		if err != nil {
			return req, err
		}
		for i := range req.Photos {
			if at == "" || at == workshop.PhotoName(req.Photos[i].Photo) {
				req.Photos[i].Areas = append(req.Photos[i].Areas, workshop.AreaOutline{Name: name, Outline: outline})
			}
		}
	}
	for _, s := range ties {
		name, at, outline, err := marked("--tie", s, photos)
		if err != nil {
			return req, err
		}
		if at == "" {
			return req, wrongUse("as in --tie \"slip@front=40,60,80,50\", once for each photo that shows it", "--tie %s does not say in which photo", name)
		}
		req.Ties = tied(req.Ties, name, at, outline)
	}
	for i := range req.Photos {
		if len(req.Photos[i].Areas) == 0 {
			return req, wrongUse("as in --area \"frame@"+workshop.PhotoName(photos[i])+"=310,220,180,640\"", "no area is outlined in %s", photos[i])
		}
	}
	return req, nil
}

func tied(ties []piece.Tie, name, at string, outline imageio.Outline) []piece.Tie {
	for i := range ties {
		if ties[i].Name == name {
			ties[i].In[at] = outline.String()
			return ties
		}
	}
	return append(ties, piece.Tie{Name: name, In: map[string]string{at: outline.String()}})
}

// marked reads "NAME=OUTLINE" or "NAME@PHOTO=OUTLINE".
func marked(flag, s string, photos []string) (name, at string, outline imageio.Outline, err error) {
	const advice = "as in %s \"frame=120,300,400,250\", or for one photo only \"frame@front=120,300,400,250\""
	name, text, found := strings.Cut(s, "=")
	if i := strings.LastIndex(name, "@"); i >= 0 {
		name, at = name[:i], strings.TrimSpace(name[i+1:])
	}
	if name = strings.TrimSpace(name); !found || name == "" {
		return name, at, outline, wrongUse(fmt.Sprintf(advice, flag), "%s %q has no name", flag, s)
	}
	if outline, err = imageio.ParseOutline(text); err != nil {
		return name, at, outline, wrongUse(fmt.Sprintf(advice, flag), "%s %s: %w", flag, name, err)
	}
	for _, p := range photos {
		if at == "" || at == workshop.PhotoName(p) {
			return name, at, outline, nil
		}
	}
	return name, at, outline, wrongUse("after the @ stands a photo's file name without its ending", "%s %s: no photo is called %q", flag, name, at)
}
