package workshop_test

import (
	"fmt"
	"math"
	"slices"
	"sync"
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

// withSlips is one cabinet with two printed slips on it in two photos, and in a third with one of the two replaced by that of another
// printer.
var withSlips = sync.OnceValue(func() (shots [3]*bench.Shot) {
	camera := bench.DrawCamera(5, bench.Mild)
	camera.Gradient = 0.02
	view := bench.View{Width: 1280, Height: 960, SamplesPerSide: 1}
	for i := range shots {
		opt := bench.CabinetOptions{Seed: 5}
		for spot := range 2 {
			printed := bench.PrintedSlip{Design: slip.Design{Number: 3 + 2*spot, Set: 7}, Printer: i / 2 * (1 - spot), Spot: spot}
			opt.Printed = append(opt.Printed, printed)
		}
		shots[i] = bench.Cabinet(opt).Shoot(view, camera)
		camera.Exposure *= 0.85
		camera.Balance[0] *= math.Exp(0.06)
		camera.Balance[2] *= math.Exp(-0.06)
		camera.Seed++
	}
	return shots
})

// slipFiles are some of those photos, and a request for the frame and a panel in each, without any reference.
func slipFiles(photos ...int) (inMemory, workshop.SeveralRequest) {
	files, req := inMemory{}, workshop.SeveralRequest{}
	for _, i := range photos {
		shot, file := withSlips()[i], string(rune('a'+i))+".jpg"
		files[file] = string(shot.JPEG)
		ask := workshop.MeasureRequest{Photo: file, Reference: piece.Reference{Kind: "none"}}
		for _, name := range []string{bench.Frame, bench.Panel} {
			ask.Areas = append(ask.Areas, workshop.AreaOutline{Name: name, Outline: shot.Area(name).Outline})
		}
		req.Photos = append(req.Photos, ask)
	}
	return files, req
}

// Slips that two photos show tie them, with nothing outlined, and give the scale.
func TestSlipsTieAndMeasure(t *testing.T) {
	files, req := slipFiles(0, 1)
	together, err := workshop.MeasureSeveral(t.Context(), files, req)
	require.NoError(t, err)
	require.Empty(t, together.Warnings)
	require.Len(t, together.Between, 1)
	require.True(t, together.Between[0].Tied)
	for area := range 2 {
		apart := func(a, b *workshop.MeasureResult) float64 {
			return colour.DeltaE2000(a.Areas[area].Reading.Mean, b.Areas[area].Reading.Mean)
		}
		var alone [2]*workshop.MeasureResult
		for i := range alone {
			alone[i], err = workshop.Measure(t.Context(), files, req.Photos[i])
			require.NoError(t, err)
			require.Equal(t, fault.Say("slip.found", "slips", []string{"3", "5"}, "n", 2), alone[i].Calibration.SlipsNote())
		}
		tied := apart(together.Photos[0].Result, together.Photos[1].Result)
		require.Less(t, tied, together.Between[0].PlusMinus)
		require.Less(t, tied, apart(alone[0], alone[1])/2)
	}
	// The frame's outline is 46 × 270 mm of the scene.
	require.InEpsilon(t, 0.046*0.270, together.Photos[0].Result.Areas[0].SquareMetres, 0.03)
}

// What is seen of a photo at once tells its slips, and proposes no part of them as white paper.
func TestLookAtSlips(t *testing.T) {
	files, _ := slipFiles(0)
	look, err := workshop.LookAt(t.Context(), files, "a.jpg")
	require.NoError(t, err)
	require.Equal(t, []slip.Design{{Number: 3, Set: 7}, {Number: 5, Set: 7}}, look.Slips)
	for _, paper := range look.Papers {
		o, err := imageio.ParseOutline(paper.Outline)
		require.NoError(t, err)
		for _, slip := range [][2]float64{{377, 738}, {527, 412}} { // millimetres of the scene, 1160 wide
			at := o.Centre()
			require.Greater(t, math.Hypot(at.X*1160/1280-slip[0], at.Y*1160/1280-slip[1]), 36.0)
		}
	}
}

// A slip that somebody has given the corners of comes in place of what is found there, and of what is said to be none; where there is no
// slip, or the photo shows it elsewhere, the corners are refused.
func TestSlipsAtGivenCorners(t *testing.T) {
	files, _ := slipFiles(0)
	look, err := workshop.LookAt(t.Context(), files, "a.jpg")
	require.NoError(t, err)
	marks := func(corners string, not ...imageio.Point) piece.Reference {
		at, err := piece.ParseSlipCorners(corners)
		require.NoError(t, err)
		return piece.Reference{Kind: "none", SlipMarks: piece.SlipMarks{SlipCorners: [][4]imageio.Point{at}, NotSlips: not}}
	}
	first, err := imageio.ParseOutline(look.SlipsAt[0])
	require.NoError(t, err)
	slips := func(ref piece.Reference) ([]slip.Design, error) {
		result, err := workshop.Calibrate(t.Context(), files, workshop.MeasureRequest{Photo: "a.jpg", Reference: ref})
		if err != nil {
			return nil, err
		}
		return result.Calibration.Slips, nil
	}
	for _, ref := range []piece.Reference{marks(look.SlipsAt[0]), marks(look.SlipsAt[0], first.Centre())} {
		got, err := slips(ref)
		require.NoError(t, err)
		require.ElementsMatch(t, look.Slips, got)
	}
	_, err = slips(marks("10,10 60,10 60,60 10,60"))
	require.True(t, fault.Is(err, "slip.not-there"), err)
	p := piece.Piece{Photos: []piece.Photo{{Name: "a", File: "a.jpg", SlipCorners: []string{look.SlipsAt[1]}}}}
	read, err := workshop.ReadSlip(t.Context(), files, &p, "a", look.SlipsAt[0])
	require.NoError(t, err)
	require.Equal(t, look.Slips[0], read.Design)
	_, err = workshop.ReadSlip(t.Context(), files, &p, "b", look.SlipsAt[0])
	require.Error(t, err)
}

// A slip that lies elsewhere in the photo cannot be given, until the other is said to be none.
func TestSlipsGivenTwice(t *testing.T) {
	print := slip.Design{Number: 3, Set: 7}
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 3,
		Printed: []bench.PrintedSlip{{Design: print, Spot: 0}, {Design: print, Spot: 2}}}).Shoot(
		bench.View{CentreX: 645, CentreY: 540, Scale: 0.52, Width: 1400, Height: 1150, SamplesPerSide: 1}, bench.DrawCamera(3, bench.Phone))
	files := inMemory{"a.jpg": string(shot.JPEG)}
	photo, err := files.OpenPhoto(t.Context(), "a.jpg")
	require.NoError(t, err)
	both, err := slip.Find(t.Context(), photo)
	require.NoError(t, err)
	require.Len(t, both, 2)
	ref := piece.Reference{Kind: "none", SlipMarks: piece.SlipMarks{SlipCorners: [][4]imageio.Point{both[0].Corners}}}
	_, err = workshop.Calibrate(t.Context(), files, workshop.MeasureRequest{Photo: "a.jpg", Reference: ref})
	require.True(t, fault.Is(err, "slip.twice"), err)
	ref.NotSlips = []imageio.Point{both[1].Middle()}
	result, err := workshop.Calibrate(t.Context(), files, workshop.MeasureRequest{Photo: "a.jpg", Reference: ref})
	require.NoError(t, err)
	require.Equal(t, []slip.Design{print}, result.Calibration.Slips)
}

// Outlines are carried by the slips that stand: not by those that are said to be none, and by those that were given.
func TestCarryHeedsMarkedSlips(t *testing.T) {
	files, req := slipFiles(0, 1)
	look, err := workshop.LookAt(t.Context(), files, "a.jpg")
	require.NoError(t, err)
	var not []string
	for _, corners := range look.SlipsAt {
		o, err := imageio.ParseOutline(corners)
		require.NoError(t, err)
		not = append(not, fmt.Sprintf("%.0f,%.0f", o.Centre().X, o.Centre().Y))
	}
	p := piece.Piece{
		Photos: []piece.Photo{{Name: "a", File: "a.jpg", NotSlips: not}, {Name: "b", File: "b.jpg"}},
		Areas:  []piece.Area{{Name: bench.Panel, Photo: "a", Outline: req.Photos[0].Areas[1].Outline.String()}},
	}
	carried := func() []slip.Design {
		ask, err := workshop.CarryFromPiece(&p, "a", "b.jpg")
		require.NoError(t, err)
		found, err := workshop.CarryOutlines(t.Context(), files, ask)
		require.NoError(t, err)
		return found.Slips
	}
	require.Empty(t, carried())
	p.Photos[0].SlipCorners = look.SlipsAt[:1]
	require.Equal(t, look.Slips[:1], carried())
	p.Photos[1].NotSlips = []string{"1,1"}
	ask, err := workshop.CarryFromPiece(&p, "a", "b.jpg")
	require.NoError(t, err)
	require.Equal(t, []imageio.Point{{X: 1, Y: 1}}, ask.ToSlips.NotSlips, "of a photo of the piece that they are carried to")
}

// Three slips of a set tell how the light falls off, with nothing outlined.
func TestSlipsTellTheLight(t *testing.T) {
	opt := bench.CabinetOptions{Seed: 6}
	for spot := range 4 {
		opt.Printed = append(opt.Printed, bench.PrintedSlip{Design: slip.Design{Number: 1 + spot, Set: 2}, Spot: spot})
	}
	camera := bench.DrawCamera(6, bench.Mild)
	camera.Gradient, camera.Towards, camera.Vignette, camera.Exposure = 0.2, 90, 0, 0.8 // a fifth less light at the bottom
	shot := bench.Cabinet(opt).Shoot(bench.View{CentreX: 645, CentreY: 540, Scale: 0.52, Width: 1400, Height: 1150, SamplesPerSide: 1}, camera)
	files := inMemory{"a.jpg": string(shot.JPEG)}
	result, err := workshop.Measure(t.Context(), files, workshop.MeasureRequest{
		Photo: "a.jpg", Reference: piece.Reference{Kind: "none"},
		Areas: []workshop.AreaOutline{{Name: "panel", Outline: shot.Area(bench.Panel).Outline}},
	})
	require.NoError(t, err)
	require.Len(t, result.Calibration.Slips, 4)
	light := result.Calibration.Light
	require.NotNil(t, light)
	// From the highest slip to the lowest the light falls by a fifth of the share of the picture's height between them, and has lost a
	// tenth in their middle.
	require.InDelta(t, 0.2*(738-412)/(1150*0.52)/0.9, light.Found, 0.04)
}

// A slip of another printing beside one that is the same is told.
func TestSlipOfAnotherPrinting(t *testing.T) {
	files, req := slipFiles(0, 1, 2)
	together, err := workshop.MeasureSeveral(t.Context(), files, req)
	require.NoError(t, err)
	told := func(n fault.Note) bool { return n.Code == "slip.looks-different" }
	require.True(t, slices.ContainsFunc(together.Warnings, told), together.Warnings)
}
