package main

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/workshop"
)

// checkOverlay refuses a name for the overlay before any work is done for it. A file that is
// there already may be a photo, so it is never written over.
func (f *photoFlags) checkOverlay() error {
	if f.overlay == "" {
		return nil
	}
	switch strings.ToLower(filepath.Ext(f.overlay)) {
	case ".png", ".jpg", ".jpeg":
	default:
		return wrongUse("as in --overlay chart.png", "--overlay %s: its name ends neither in .png nor in .jpg", f.overlay)
	}
	if _, err := os.Lstat(f.overlay); err == nil {
		return wrongUse("name a file that is not there yet", "--overlay %s: there is such a file already", f.overlay)
	}
	return nil
}

// writeOverlay draws where the chart was read.
func (f *photoFlags) writeOverlay(ctx context.Context, photo string, cal workshop.Calibration) error {
	if f.overlay == "" {
		return nil
	}
	if cal.Reference != "chart" {
		return wrongUse("leave --overlay out, or give the chart's corners", "--overlay: no chart was read in this photo")
	}
	p, err := imageio.Open(ctx, photo)
	if err != nil {
		return err
	}
	picture := chart.Overlay(p, *cal.Corners)
	if strings.ToLower(filepath.Ext(f.overlay)) == ".png" {
		return imageio.WritePNG(ctx, f.overlay, picture)
	}
	return imageio.WriteJPEG(ctx, f.overlay, picture, 0)
}
