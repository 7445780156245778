package chart_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

const drawnWidth, drawnHeight = 640, 480

// tilted is where a pinhole camera sees the place (u, v) of a chart that is turned and
// leans back.
func tilted(u, v float64) imageio.Point {
	x, y, z := 6*(u-0.5), 4*(v-0.5), 0.0
	sin, cos := math.Sincos(0.2)
	x, y = x*cos-y*sin, x*sin+y*cos
	sin, cos = math.Sincos(0.5)
	y, z = y*cos-z*sin, y*sin+z*cos
	return imageio.Point{X: drawnWidth/2 + 800*x/(z+11), Y: drawnHeight/2 + 800*y/(z+11)}
}

var tiltedCorners = [4]imageio.Point{tilted(0, 0), tilted(1, 0), tilted(1, 1), tilted(0, 1)}

// drawChart draws the published colours, as seen by a camera, with black between them.
func drawChart(t *testing.T, record func(colour.LinearRGB) colour.LinearRGB) *imageio.Photo {
	t.Helper()
	return drawPatches(t, func(_ int, _, _ float64, c colour.LinearRGB) colour.LinearRGB { return record(c) })
}

// drawPatches is told the patch and the place on it, 0–1 each way.
func drawPatches(t *testing.T, record func(patch int, u, v float64, c colour.LinearRGB) colour.LinearRGB) *imageio.Photo {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, drawnWidth, drawnHeight))
	patches := camera.Chart24(camera.Since2014)
	const steps = 1500
	for i := range steps * steps {
		u, v := (float64(i%steps)+0.5)/steps, (float64(i/steps)+0.5)/steps
		column, row := int(6*u), int(4*v)
		ink := colour.RGB8{R: 40, G: 40, B: 40}
		if inU, inV := 6*u-float64(column), 4*v-float64(row); math.Abs(inU-0.5) < 0.42 && math.Abs(inV-0.5) < 0.42 {
			patch := 6*row + column
			ink = record(patch, inU, inV, patches[patch].Lab.LinearRGB()).Encode()
		}
		at := tilted(u, v)
		img.SetNRGBA(int(at.X), int(at.Y), color.NRGBA{R: ink.R, G: ink.G, B: ink.B, A: 255})
	}
	return decodeDrawn(t, img)
}

func drawPlain(t *testing.T, c color.Color) *imageio.Photo {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, drawnWidth, drawnHeight))
	for i := range drawnWidth * drawnHeight {
		img.Set(i%drawnWidth, i/drawnWidth, c)
	}
	return decodeDrawn(t, img)
}

func decodeDrawn(t *testing.T, img image.Image) *imageio.Photo {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, img))
	photo, err := imageio.Decode(t.Context(), file.Bytes(), "chart.png")
	require.NoError(t, err)
	return photo
}

// dimmed keeps every patch clear of clipping.
func dimmed(c colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: 0.75 * c.R, G: 0.7 * c.G, B: 0.6 * c.B}
}

func TestReadReadsEachPatchInPerspective(t *testing.T) {
	chart, err := chart.Read(t.Context(), drawChart(t, dimmed), tiltedCorners, chart.Options{})
	require.NoError(t, err)
	require.Empty(t, chart.Warnings)
	for i, patch := range camera.Chart24(camera.Since2014) {
		s := chart.Samples[i]
		drawn := dimmed(patch.Lab.LinearRGB()).Encode().Linear() // a file holds 8 bits, inside the gamut
		require.Equal(t, patch.Name, s.Name)
		require.InDeltaf(t, drawn.R, s.Camera.R, 1e-4, s.Name)
		require.InDeltaf(t, drawn.G, s.Camera.G, 1e-4, s.Name)
		require.InDeltaf(t, drawn.B, s.Camera.B, 1e-4, s.Name)
	}
	require.InDelta(t, -5.0/12, chart.Samples[0].At.X, 1e-12)
	require.InDelta(t, 3.0/8, chart.Samples[23].At.Y, 1e-12)
}

// Corners a tenth of a patch off must not let the black between the patches in.
func TestReadForgivesCornersALittleOff(t *testing.T) {
	photo := drawChart(t, dimmed)
	off := tiltedCorners
	for i, shift := range []imageio.Point{{X: -8, Y: 6}, {X: 7, Y: -7}, {X: 8, Y: 6}, {X: -6, Y: -8}} {
		off[i].X += shift.X
		off[i].Y += shift.Y
	}
	right, err := chart.Read(t.Context(), photo, tiltedCorners, chart.Options{})
	require.NoError(t, err)
	chart, err := chart.Read(t.Context(), photo, off, chart.Options{})
	require.NoError(t, err)
	for i, s := range chart.Samples {
		require.InDeltaf(t, right.Samples[i].Camera.G, s.Camera.G, 1e-4, s.Name)
	}
}

func TestFitSkipsClippedPatchesAndSaysSo(t *testing.T) {
	over := func(c colour.LinearRGB) colour.LinearRGB {
		return colour.LinearRGB{R: 1.25 * c.R, G: 1.2 * c.G, B: 1.1 * c.B}
	}
	_, report, chart, err := chart.Fit(t.Context(), drawChart(t, over), tiltedCorners, chart.Options{})
	require.NoError(t, err)
	white := report.Patches[18]
	require.False(t, white.Used)
	require.Equal(t, fault.Code("patch.clipped"), white.Why.Code)
	require.True(t, slices.ContainsFunc(chart.Warnings, func(w fault.Note) bool {
		return w.Code == "patch.left-out" && w.Values["patch"] == "white"
	}))
	require.True(t, report.Patches[0].Used)
}

// A patch that is not there cannot be off: a fit to nothing must not pass for a good one.
func TestFitRefusesTooFewPatches(t *testing.T) {
	_, _, _, err := chart.Fit(t.Context(), drawPlain(t, color.White), tiltedCorners, chart.Options{})
	require.Equal(t, fault.Values{"have": 0, "of": 24, "need": 13}, imagetest.RequireFault(t, err, "chart.clipped").Values)

	over := func(c colour.LinearRGB) colour.LinearRGB { return colour.LinearRGB{R: 6 * c.R, G: 6 * c.G, B: 6 * c.B} }
	_, _, _, err = chart.Fit(t.Context(), drawChart(t, over), tiltedCorners, chart.Options{})
	imagetest.RequireFault(t, err, "chart.clipped")
}

func TestFitRefusesPlainSurfaces(t *testing.T) {
	for _, c := range []color.Color{color.Black, color.Gray{Y: 128}, color.NRGBA{R: 170, G: 110, B: 60, A: 255}} {
		_, _, _, err := chart.Fit(t.Context(), drawPlain(t, c), tiltedCorners, chart.Options{})
		imagetest.RequireFault(t, err, "chart.unlike")
	}
}

func TestFitNamesTheRightOrder(t *testing.T) {
	photo := drawChart(t, dimmed)
	q := tiltedCorners
	for name, given := range map[string]struct {
		corners [4]imageio.Point
		code    fault.Code
		first   string
	}{
		"half a turn":     {[4]imageio.Point{q[2], q[3], q[0], q[1]}, "chart.corners-turned", "black"},
		"a quarter":       {[4]imageio.Point{q[3], q[0], q[1], q[2]}, "chart.corners-turned", "white"},
		"other way round": {[4]imageio.Point{q[0], q[3], q[2], q[1]}, "chart.corners-mirrored", "dark brown"},
	} {
		_, _, _, err := chart.Fit(t.Context(), photo, given.corners, chart.Options{})
		f := imagetest.RequireFault(t, err, given.code, name)
		require.Equal(t, given.first, f.Values["first"])

		outline, err := imageio.ParseOutline(f.Values["order"].(string))
		require.NoError(t, err, "the order advised must read as corners")
		require.NotNil(t, outline)
	}
}

func TestReadRefusesCornersThatCannotBeMeant(t *testing.T) {
	photo := drawPlain(t, color.Gray{Y: 128})
	nan := math.NaN()
	for _, c := range []struct {
		code    fault.Code
		corners [4]imageio.Point
	}{
		{"chart.corner-outside", [4]imageio.Point{{X: 10, Y: 10}, {X: 900, Y: 10}, {X: 400, Y: 300}, {X: 10, Y: 300}}},
		{"chart.corner-outside", [4]imageio.Point{{X: nan, Y: 10}, {X: 400, Y: 10}, {X: 400, Y: 300}, {X: 10, Y: 300}}},
		{"chart.corners-cross", [4]imageio.Point{{X: 10, Y: 10}, {X: 400, Y: 300}, {X: 400, Y: 10}, {X: 10, Y: 300}}},
		{"chart.corners-cross", [4]imageio.Point{{X: 10, Y: 10}, {X: 200, Y: 10}, {X: 400, Y: 10}, {X: 10, Y: 300}}},
		{"chart.corners-cross", [4]imageio.Point{{X: 10, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 10}}},
		{"chart.corners-cross", [4]imageio.Point{{X: 10, Y: 10}, {X: 400, Y: 10}, {X: 80, Y: 60}, {X: 10, Y: 300}}},
		{"chart.corners-close", [4]imageio.Point{{X: 10, Y: 10}, {X: 40, Y: 10}, {X: 40, Y: 30}, {X: 10, Y: 30}}},
	} {
		_, err := chart.Read(t.Context(), photo, c.corners, chart.Options{})
		require.Equal(t, fault.Use, imagetest.RequireFault(t, err, c.code).Kind)
	}
}
