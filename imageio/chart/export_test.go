package chart

import (
	"context"
	"slices"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/lattice"
)

// Read reads a chart without fitting it.
var Read = read

// Misfit and Next say how well a chart fits, the best way round and the next.
func (d *Detection) Misfit() float64 { return d.misfit }
func (d *Detection) Next() float64   { return d.next }

// A Work is how many lattices a downsampled picture shows, and how many of them are judged in the full photo.
type Work struct{ Lattices, Judged int }

// Judged counts the work on the picture of a photo with every k × k pixels as one.
func Judged(ctx context.Context, p *imageio.Photo, k int) (w Work, err error) {
	t, err := blob.Downsample(ctx, p, k, nil)
	if err != nil {
		return w, err
	}
	blobs, err := t.Blobs(ctx)
	if err != nil {
		return w, err
	}
	lattices := lattice.Find(blobs)
	poses, err := likeliest(ctx, t, lattices, publishedLogs())
	for _, all := range poses {
		if len(all) > 0 {
			w.Judged++
		}
	}
	w.Lattices = len(lattices)
	return w, err
}

// WarnsOfLight tells whether more than one light is seen on a chart of these samples.
func WarnsOfLight(samples []camera.Sample) bool {
	c := Chart{Samples: slices.Clone(samples)}
	c.evenOut()
	return len(c.Warnings) > 0
}
