package imageio_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"path/filepath"
	"testing"

	"huewright/internal/contexttest"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/render"
	"huewright/imageio/sample"
	"huewright/imageio/surround"
	"huewright/internal/fault"
)

func TestDecodeStops(t *testing.T) {
	large := image.NewRGBA(image.Rect(0, 0, 3000, 2000))
	for y := range 2000 {
		for x := range 3000 {
			large.SetRGBA(x, y, color.RGBA{uint8(x), uint8(y), uint8(x * y), 255})
		}
	}
	for name, encode := range map[string]func(*bytes.Buffer) error{
		"photo.jpg": func(b *bytes.Buffer) error { return jpeg.Encode(b, large, nil) },
		"photo.png": func(b *bytes.Buffer) error { return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(b, large) },
		"photo.tif": func(b *bytes.Buffer) error { return tiff.Encode(b, large, nil) },
	} {
		data := imagetest.Encoded(t, encode)
		t.Run(name, func(t *testing.T) {
			contexttest.RequireStops(t, func(ctx context.Context) error {
				p, err := imageio.Decode(ctx, data, name)
				if err != nil {
					require.Nil(t, p)
				}
				return err
			})
		})
	}
}

func TestReadingAPhotoStops(t *testing.T) {
	img := imagetest.Picture16(600, 400, func(x, y int) colour.LinearRGB {
		v := 0.2 + 0.1*float64(x%17)/17 + 0.05*float64(y%5)/5
		return colour.LinearRGB{R: v, G: 0.7 * v, B: 0.4 * v}
	})
	p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "made.png")
	require.NoError(t, err)
	repair := imageio.Rect(270, 170, 50, 50)
	for name, work := range map[string]func(ctx context.Context) error{
		"sample": func(ctx context.Context) error {
			_, err := sample.Read(ctx, p, imageio.Rect(20, 20, 500, 300), nil, sample.Options{})
			return err
		},
		"patch":  func(ctx context.Context) error { _, err := sample.ReadPatch(ctx, p, repair); return err },
		"paper":  func(ctx context.Context) error { _, err := evenlight.FindPaper(ctx, p, nil); return err },
		"canvas": func(ctx context.Context) error { _, err := render.NewCanvas(ctx, p, 300); return err },
		"recolour": func(ctx context.Context) error {
			c, err := render.NewCanvas(ctx, p, 0)
			if err != nil {
				return err
			}
			return c.Recolour(ctx, repair, render.Recolouring{Change: func(l colour.LinearRGB) colour.LinearRGB { return l }, Feather: 3})
		},
		"surround": func(ctx context.Context) error {
			s, err := surround.Read(ctx, p, repair, nil, surround.Options{})
			if err != nil {
				return err
			}
			if _, err := s.Patches(ctx); err != nil {
				return err
			}
			if _, err := s.From(ctx, []float64{500, 2000}, 0.3); err != nil {
				return err
			}
			_, err = s.Overlay(ctx, p)
			return err
		},
		"chart": func(ctx context.Context) error {
			_, err := chart.Find(ctx, p, chart.Search{})
			if fault.Is(err, chart.None) {
				return nil // there is none
			}
			return err
		},
	} {
		t.Run(name, func(t *testing.T) { contexttest.RequireStops(t, work) })
	}
}

func TestWritingAPictureStops(t *testing.T) {
	dir := t.TempDir()
	for name, write := range map[string]func(ctx context.Context, path string) error{
		"a.png": func(ctx context.Context, path string) error {
			return imageio.WritePNG(ctx, path, image.NewRGBA(image.Rect(0, 0, 900, 900)))
		},
		"a.jpg": func(ctx context.Context, path string) error {
			return imageio.WriteJPEG(ctx, path, image.NewRGBA(image.Rect(0, 0, 900, 900)), 0)
		},
	} {
		require.Equal(t, context.Canceled, write(contexttest.NewEndsAfter(t, 0), filepath.Join(dir, name)))
	}
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	require.Empty(t, left)
}
