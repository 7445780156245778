package container

import (
	"context"
	"image"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/contexttest"
	"huewright/internal/fixture"
)

// tiledPhotos are the shared photos that are made of tiles.
func tiledPhotos(t *testing.T) (all map[string][]byte) {
	t.Helper()
	all = map[string][]byte{}
	paths, err := filepath.Glob(fixture.Shared("formats", "*", "*"))
	require.NoError(t, err)
	for _, path := range paths {
		if !strings.EqualFold(filepath.Ext(path), ".heic") {
			continue
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		if items, err := readItems(data); err == nil {
			if _, ok := gridOf(items, data); ok {
				all[filepath.Base(path)] = data
			}
		}
	}
	if len(all) == 0 {
		t.Skip("no shared photo is made of tiles")
	}
	return all
}

// Tiles that are laid side by side are what the decoder makes of the whole picture, turned as it is. Of a whole one it works out red, green
// and blue and goes back: what rounding and cutting off make of that is all the difference.
func TestTilesAreTheWholePicture(t *testing.T) {
	for name, data := range tiledPhotos(t) {
		items, err := readItems(data)
		require.NoError(t, err)
		tiled := decodeTiles(t.Context(), items, data, 1<<29)
		require.NotNil(t, tiled, name)
		whole, err := decodeHEICItem(t.Context(), data, 0, 1<<29)
		require.NoError(t, err)
		got, want := tiled.(*image.YCbCr), whole.(*image.YCbCr)
		require.Equal(t, want.Rect, got.Rect, name)
		sum, far, n := 0.0, 0.0, 0.0
		for y := range want.Rect.Dy() {
			for x := range want.Rect.Dx() {
				r, g, b, _ := want.At(x, y).RGBA()
				r2, g2, b2, _ := got.At(x, y).RGBA()
				most := 0.0
				for _, d := range [3]float64{float64(r) - float64(r2), float64(g) - float64(g2), float64(b) - float64(b2)} {
					sum, most = sum+math.Abs(d)/257/3, max(most, math.Abs(d)/257)
				}
				if n++; most > 8 {
					far++
				}
			}
		}
		t.Logf("%s: %v, %.3f of 255 apart on average, %.4f %% by more than 8", name, got.Rect.Max, sum/n, 100*far/n)
		require.Less(t, sum/n, 0.5, name)
		require.Less(t, far/n, 0.01, name)
	}
}

// What is turned as a whole is turned tile by tile.
func TestTilesAreTurned(t *testing.T) {
	const wide, high, tile = 10, 6, 4 // three columns, two rows; the last are cut off
	picture := make([]byte, wide*high)
	for i := range picture {
		picture[i] = byte(i)
	}
	for turns := range 4 {
		want, across := picture, wide
		for range turns { // a quarter anticlockwise: what is at the right comes to the top
			down := len(want) / across
			next := make([]byte, len(want))
			for i, v := range want {
				next[(across-1-i%across)*down+i/across] = v
			}
			want, across = next, down
		}
		got := make([]byte, wide*high)
		for y := 0; y < high; y += tile {
			for x := 0; x < wide; x += tile {
				from := make([]byte, tile*tile)
				for i := range from {
					if at := (y+i/tile)*wide + x + i%tile; x+i%tile < wide && at < len(picture) {
						from[i] = picture[at]
					}
				}
				turned(got, across, wide, high, turns, from, tile, tile, tile, x, y)
			}
		}
		require.Equal(t, want, got, "%d turns", turns)
	}
}

// Decoding tiles ends with its context.
func TestTilesStop(t *testing.T) {
	for name, data := range tiledPhotos(t) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		_, err := decodeHEIC(ctx, data, 1<<29)
		require.Equal(t, context.Canceled, err, name)
		_, err = decodeHEIC(contexttest.NewEndsAfter(t, 3), data, 1<<29)
		require.Equal(t, context.Canceled, err, name)
	}
}
