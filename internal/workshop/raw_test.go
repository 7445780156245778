package workshop_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/slip"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A raw photo says what it is balanced by, and a slip of paper makes its colours surer than a chart does those of a JPEG.
func TestMeasureRawPhoto(t *testing.T) {
	c := bench.DrawCamera(5, bench.Phone)
	profile := bench.MakersProfile(c)
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 5, Wash: bench.NewWash(5, "nut brown", 14.5)})
	view := bench.View{Width: 960, Height: 720, SamplesPerSide: 1}
	raw, jpeg := scene.ShootRaw(view, c, &profile), scene.Shoot(view, c)
	files := inMemory{"raw.dng": string(raw.Raw), "photo.jpg": string(jpeg.JPEG)}
	slip := raw.Area(bench.Slip)
	grey := piece.Reference{Grey: &slip.Outline, GreyLightness: slip.Lab.L}
	neutral := piece.Reference{Kind: "neutral", Neutrals: []piece.Neutral{{Outline: slip.Outline, Lightness: slip.Lab.L}}}
	plusMinus := map[string]float64{}
	for name, of := range map[string]struct {
		photo string
		by    piece.Reference
		white string
		most  float64
	}{
		"raw, chart":  {"raw.dng", piece.Reference{Corners: &raw.Corners}, "chart", 2},
		"raw, grey":   {"raw.dng", grey, "grey", 2.5},
		"raw, slips":  {"raw.dng", neutral, "neutral", 2.5},
		"raw, none":   {"raw.dng", piece.Reference{Kind: "none"}, "as-shot", 15},
		"JPEG, chart": {"photo.jpg", piece.Reference{Corners: &jpeg.Corners}, "", 5},
		"JPEG, grey":  {"photo.jpg", grey, "", 10},
	} {
		req := workshop.MeasureRequest{Photo: of.photo, Reference: of.by}
		for _, area := range []string{bench.Frame, bench.Panel} {
			req.Areas = append(req.Areas, workshop.AreaOutline{Name: area, Outline: raw.Area(area).Outline})
		}
		result, err := workshop.Measure(t.Context(), files, req)
		require.NoError(t, err, name)
		require.Equal(t, of.white, result.Calibration.White, name)
		require.Equal(t, name == "raw, none", result.Calibration.Relative, name)
		for _, area := range result.Areas {
			off := colour.DeltaE2000(raw.Area(area.Name).Lab, area.Reading.Mean)
			require.Less(t, off, area.Reading.PlusMinus, "%s, %s", name, area.Name)
			require.Less(t, off, of.most, "%s, %s", name, area.Name)
			plusMinus[name] = area.Reading.PlusMinus
		}
	}
	require.Less(t, plusMinus["raw, grey"], plusMinus["JPEG, chart"])
	require.Less(t, plusMinus["raw, grey"], plusMinus["JPEG, grey"]/2)
	require.Less(t, plusMinus["raw, none"], plusMinus["JPEG, grey"]*2)
}

// Wood that is marked as white paper would look grey once the photo is balanced by it: it is refused as in any photo.
func TestWoodIsNoWhiteOfRawPhotos(t *testing.T) {
	c := bench.DrawCamera(5, bench.Phone)
	profile := bench.MakersProfile(c)
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 5, Wash: bench.NewWash(5, "nut brown", 14.5)})
	raw := scene.ShootRaw(bench.View{Width: 480, Height: 360, SamplesPerSide: 1}, c, &profile)
	files := inMemory{"raw.dng": string(raw.Raw)}
	wood := raw.Area(bench.Panel).Outline
	for name, by := range map[string]piece.Reference{
		"grey": {Grey: &wood}, "neutral": {Kind: "neutral", Neutrals: []piece.Neutral{{Outline: wood}}},
	} {
		areas := []workshop.AreaOutline{{Name: bench.Frame, Outline: raw.Area(bench.Frame).Outline}}
		_, err := workshop.Measure(t.Context(), files, workshop.MeasureRequest{Photo: "raw.dng", Reference: by, Areas: areas})
		require.NotNil(t, fault.Of(err), name)
		require.Contains(t, err.Error(), "not-grey", name)
	}
}

// A raw photo with a slip of paper reaches a JPEG of the same piece over their ties.
func TestRawAndJPEGTogether(t *testing.T) {
	c := bench.DrawCamera(3, bench.Mild)
	c.Gradient = 0.02
	profile := bench.MakersProfile(c)
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 3, Wash: bench.NewWash(3, "nut brown", 14.5)})
	raw := scene.ShootRaw(bench.View{Width: 960, Height: 720, SamplesPerSide: 1, TiltX: 0.02, RollDegrees: 0.4}, c, &profile)
	slip := raw.Area(bench.Slip)
	by := fmt.Sprintf("grey = %q\ngrey_lightness = %.2f\n", slip.Outline, slip.Lab.L)
	result := acrossFiles(t, [2][]byte{twice()[0].JPEG, raw.Raw}, by+ties(bench.Slip, bench.PanelBare), "")
	require.False(t, result.Relative)
	require.True(t, result.Between[0].Tied)
	require.Equal(t, "grey", result.Photos[1].Calibration.White)
	require.Empty(t, result.Photos[0].Calibration.White)
	for i := range 2 {
		off := colour.DeltaE2000(twice()[0].Area(bench.Frame).Lab, result.Areas[i].Start.Lab)
		require.Less(t, off, result.Areas[i].Start.PlusMinus)
		require.Less(t, off, 3.5)
	}
	require.Contains(t, fmt.Sprint(result.Photos[0].Calibration.Warnings), "tie.by-ties photo=bench")
}

// Printed slips are found on raw photos; their paper tells the white where nothing else does, and colours stay relative.
func TestPrintedSlipsOnRawPhotos(t *testing.T) {
	c := bench.DrawCamera(6, bench.Phone)
	c.Balance = [3]float64{1.15, 1, 0.85} // the camera takes something else for white
	profile := bench.MakersProfile(c)
	opt := bench.CabinetOptions{Seed: 6, Wash: bench.NewWash(6, "nut brown", 14.5)}
	for spot := range 2 {
		opt.Printed = append(opt.Printed, bench.PrintedSlip{Design: slip.Design{Number: 1 + spot, Set: 2}, Spot: spot})
	}
	raw := bench.Cabinet(opt).ShootRaw(bench.View{Width: 1280, Height: 960, SamplesPerSide: 1}, c, &profile)
	req := workshop.MeasureRequest{Photo: "raw.dng", Reference: piece.Reference{Kind: "none"}}
	for _, area := range []string{bench.Frame, bench.Panel} {
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: area, Outline: raw.Area(area).Outline})
	}
	result, err := workshop.Measure(t.Context(), inMemory{"raw.dng": string(raw.Raw)}, req)
	require.NoError(t, err)
	require.Len(t, result.Calibration.Slips, 2)
	require.Equal(t, "slips", result.Calibration.White)
	require.True(t, result.Calibration.Relative)
	for _, area := range result.Areas {
		require.Less(t, colour.DeltaE2000(raw.Area(area.Name).Lab, area.Reading.Mean), 4.0)
	}
}

// White paper on a raw photo looks white, whatever its exposure.
func TestRawPhotosShowWhite(t *testing.T) {
	c := bench.DrawCamera(4, bench.Plain)
	profile := bench.MakersProfile(c)
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 3, Wash: bench.NewWash(3, "nut brown", 14.5)})
	shot := scene.ShootRaw(bench.View{Width: 480, Height: 360, SamplesPerSide: 1}, c, &profile)
	photo, err := imageio.Decode(t.Context(), shot.Raw, "photo")
	require.NoError(t, err)
	at := shot.Area(bench.Slip).Outline.Centre()
	shown := photo.AsImage().At(int(at.X), int(at.Y))
	r, g, b, _ := shown.RGBA()
	for _, v := range []uint32{r, g, b} {
		require.Greater(t, v>>8, uint32(170)) // white paper looks white
	}
}
