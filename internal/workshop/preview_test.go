package workshop_test

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

func asPNG(t testing.TB, img image.Image) string {
	var out bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&out, img))
	return out.String()
}

// previewOf shows a plan on its photos, opened again.
func previewOf(t testing.TB, files workshop.Files, plan *workshop.PlanResult, opt workshop.PreviewOptions) *workshop.Preview {
	photos, err := workshop.OpenPhotos(t.Context(), files, &plan.Piece)
	require.NoError(t, err)
	return workshop.NewPreview(photos, plan, opt)
}

// seenAgain measures areas of a preview as if it were a photo.
func seenAgain(t *testing.T, preview image.Image, ref piece.Reference, areas []workshop.AreaPlan) []colour.Lab {
	req := workshop.MeasureRequest{Photo: "after.png", Reference: ref}
	for _, a := range areas {
		o, err := imageio.ParseOutline(a.Area.Outline)
		require.NoError(t, err)
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: a.Area.Name, Outline: o})
	}
	result, err := workshop.Measure(t.Context(), inMemory{"after.png": asPNG(t, preview)}, req)
	require.NoError(t, err)
	var all []colour.Lab
	for _, a := range result.Areas {
		all = append(all, a.Reading.Mean)
	}
	return all
}

// TestPreviewShowsWhatIsForeseen measures drawn cabinets' previews like photos, chart and all.
func TestPreviewShowsWhatIsForeseen(t *testing.T) {
	worst := 0.0
	for seed := range uint64(4) {
		wash := bench.NewWash(seed+20, "nut brown", 8)
		shot := bench.Cabinet(bench.CabinetOptions{Seed: seed + 20, Wash: wash}).Shoot(bench.View{}, bench.DrawCamera(seed+20, bench.Mild))
		files := inMemory{"front.jpg": string(shot.JPEG)}
		outline := func(name string) string { return shot.Area(name).Outline.String() }
		cabinet := piece.Piece{
			Name: "cabinet", Photos: []piece.Photo{{Name: "front", File: "front.jpg"}},
			Target: &piece.ColourSource{Outline: outline(bench.Target)},
			Areas: []piece.Area{{Name: "frame", Outline: outline(bench.Frame), Surface: "sealed"},
				{Name: "panel", Outline: outline(bench.Panel), Surface: "sealed"}},
			Coatings: []piece.Coating{{Name: "wash", Kind: "wash", Chip: &piece.ColourSource{Outline: outline(bench.Chip)}, Tests: []piece.TestCoat{
				{Coats: 1, Ground: piece.ColourSource{Outline: outline(bench.FrameBare)},
					Result: piece.ColourSource{Outline: outline(bench.FrameTested)}},
			}}},
		}
		if seed%2 == 1 {
			cabinet.Clear = &piece.Clear{Name: "varnish"}
		}
		plan, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: cabinet})
		require.NoError(t, err)
		p := previewOf(t, files, plan, workshop.PreviewOptions{Width: -1, Clear: true})
		require.Equal(t, []string{"front"}, p.Photos())
		after, shown, err := p.After(t.Context(), "front")
		require.NoError(t, err)
		again := seenAgain(t, after, piece.Reference{}, plan.Areas)
		for i, s := range shown {
			last := plan.Areas[i].Plan.Path[len(plan.Areas[i].Plan.Path)-1].Lab
			require.Less(t, colour.DeltaE2000(last, s.Lab), 1e-6, "the preview shows the plan's own figure")
			d := colour.DeltaE2000(s.Lab, again[i])
			worst = max(worst, d)
			require.LessOrEqual(t, d, 0.5, "seed %d, %s: %v, shown as %v", seed, s.Area, s.Lab, again[i])
		}
	}
	figure.Report(t, "previews/drawn", "%.2f", worst)
}

// TestPreviewOfRealWood does the same on three photos of real wood, without any reference.
func TestPreviewOfRealWood(t *testing.T) {
	worst := 0.0
	for _, file := range []struct {
		name  string
		parts []string // outlines of one wood each: two of the pictures are sheets of swatches
	}{
		{"ambientcg/Wood.webp", []string{"26,26,88,88", "458,26,88,88", "170,202,88,88"}},
		{"ambientcg/WoodFloor.webp", []string{"310,200,116,112", "456,24,112,112", "20,726,112,112"}},
		{"materialx/wood_color.jpg", []string{"100,100,700,300", "100,500,300,400"}},
	} {
		data, err := os.ReadFile(fixture.Shared("wood", file.name))
		if err != nil {
			t.Skipf("the shared photos are not here: %v", err)
		}
		name := filepath.Base(file.name)
		areas := []piece.Area{}
		for i, outline := range file.parts {
			areas = append(areas, piece.Area{Name: fmt.Sprint("part ", i), Outline: outline, Surface: "sealed"})
		}
		p := piece.Piece{
			Name: "swatch", Photos: []piece.Photo{{Name: "wood", File: name, Reference: "none"}}, Areas: areas,
			Coatings: []piece.Coating{{Name: "wash", Kind: "wash", Chip: &piece.ColourSource{Hex: "#5a3a28"}}},
		}
		files := inMemory{name: string(data)}
		planned, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: p})
		require.NoError(t, err)
		for _, coats := range []int{1, 2, 4} {
			for i, a := range planned.Areas {
				after, shown, err := previewOf(t, files, planned, workshop.PreviewOptions{Width: -1}).Counts(t.Context(), a.Area.Name,
					[]plan.CoatCount{{Coating: "wash", Count: coats}})
				require.NoError(t, err)
				again := seenAgain(t, after, piece.Reference{Kind: "none"}, planned.Areas)[i]
				d := colour.DeltaE2000(shown.Lab, again)
				t.Logf("%s, %s, %d coats: %v shown as %v (ΔE00 %.2f); pixels by themselves were off by %.2f", name, a.Area.Name, coats,
					shown.Lab, again, d, shown.Corrects)
				worst = max(worst, d)
			}
		}
		byLamp, shown, err := previewOf(t, files, planned, workshop.PreviewOptions{Width: -1}).AfterByLamp(t.Context(), "wood")
		require.NoError(t, err)
		for i, again := range seenAgain(t, byLamp, piece.Reference{Kind: "none"}, planned.Areas) {
			require.LessOrEqual(t, colour.DeltaE2000(shown[i].Lab, again), 0.5, "%s by lamp: %v shown as %v", name, shown[i].Lab, again)
			worst = max(worst, colour.DeltaE2000(shown[i].Lab, again))
		}
	}
	figure.Report(t, "previews/real", "%.2f", worst)
	require.LessOrEqual(t, worst, 0.5)
}

// By lamp an area has the colour that the plan compares with its target there, and what is grey stays grey.
func TestPreviewByLamp(t *testing.T) {
	result, err := planCabinet(t)
	require.NoError(t, err)
	p := previewOf(t, photos(), result, workshop.PreviewOptions{Width: 400, Clear: true})
	_, shown, err := p.AfterByLamp(t.Context(), "front")
	require.NoError(t, err)
	require.Len(t, shown, len(result.Areas))
	targets := 0
	for i, s := range shown {
		if a := result.Areas[i].Plan; a.ToTarget {
			targets++
			require.Less(t, colour.DeltaE2000(a.Lamp.Of[1], s.Lab), 1e-6, s.Area)
			require.Greater(t, colour.DeltaE2000(a.Path[len(a.Path)-1].Lab, s.Lab), 0.3, "%s is not shown as by day", s.Area)
		}
	}
	require.Positive(t, targets)

	grey := image.NewNRGBA(image.Rect(0, 0, 120, 80))
	for i := range grey.Pix {
		grey.Pix[i] = uint8(90 + i/4%120)
	}
	for i := 3; i < len(grey.Pix); i += 4 {
		grey.Pix[i], grey.Pix[i-1], grey.Pix[i-2] = 255, grey.Pix[i-3], grey.Pix[i-3]
	}
	files := inMemory{"grey.png": asPNG(t, grey)}
	flat := piece.Piece{
		Name: "grey", Photos: []piece.Photo{{Name: "grey", File: "grey.png", Reference: "none"}},
		Areas: []piece.Area{{Name: "part", Outline: "10,10,60,40", Surface: "sealed"},
			{Name: "other", Outline: "75,10,30,40", Surface: "sealed"}},
		Coatings: []piece.Coating{{Name: "wash", Kind: "wash", Chip: &piece.ColourSource{Hex: "#5a3a28"}}},
		Layers:   []piece.Layer{{Coating: "wash", Coats: 0}},
	}
	result, err = workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: flat})
	require.NoError(t, err)
	p = previewOf(t, files, result, workshop.PreviewOptions{Width: -1})
	before, err := p.Before(t.Context(), "grey")
	require.NoError(t, err)
	after, _, err := p.AfterByLamp(t.Context(), "grey")
	require.NoError(t, err)
	below := before.(*image.NRGBA).PixOffset(0, 55) // the areas, whose means are set right, end above
	for i, v := range before.(*image.NRGBA).Pix[below:] {
		require.InDelta(t, v, after.(*image.NRGBA).Pix[below+i], 1)
	}
}

func TestPreviewOfNothing(t *testing.T) {
	plan, err := planCabinet(t)
	require.NoError(t, err)
	p := previewOf(t, photos(), plan, workshop.PreviewOptions{Width: 400})
	_, _, err = p.Counts(t.Context(), "lid", nil)
	require.True(t, fault.Is(err, "piece.no-area"), "%v", err)
	same, shown, err := p.Counts(t.Context(), plan.Areas[0].Area.Name, nil)
	require.NoError(t, err)
	before, err := p.Before(t.Context(), "front")
	require.NoError(t, err)
	require.Equal(t, before, same, "no coat changes nothing")
	require.Less(t, colour.DeltaE2000(plan.Areas[0].Plan.Path[0].Lab, shown.Lab), 1e-9)
	pictures, all, err := p.Strip(t.Context(), plan.Areas[0].Area.Name)
	require.NoError(t, err)
	require.Len(t, pictures, len(all))
	require.Greater(t, len(all), 2)
}

// BenchmarkPreview shows one coat more at 1600 pixels, and a whole photo of 12 megapixels beside what
// decoding and encoding it takes.
func BenchmarkPreview(b *testing.B) {
	d := drawn()
	files := inMemory{"front.jpg": string(d.JPEG), "cabinet.toml": cabinetFile()}
	cabinet, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(b, err)
	planned, err := workshop.Plan(b.Context(), files, workshop.PlanRequest{Piece: *cabinet})
	require.NoError(b, err)
	open, err := workshop.OpenPhotos(b.Context(), files, cabinet)
	require.NoError(b, err)
	b.Run("OneCoat", func(b *testing.B) {
		for b.Loop() {
			p := workshop.NewPreview(open, planned, workshop.PreviewOptions{})
			_, _, err := p.Counts(b.Context(), planned.Areas[0].Area.Name, []plan.CoatCount{{Coating: cabinet.Coatings[0].Name, Count: 1}})
			require.NoError(b, err)
		}
	})
	wide := bench.Cabinet(bench.CabinetOptions{Seed: 3}).Shoot(bench.View{Width: 4000, Height: 3000}, bench.DrawCamera(3, bench.Mild))
	files["front.jpg"] = string(wide.JPEG)
	whole := piece.Piece{
		Name: "cabinet", Photos: []piece.Photo{{Name: "front", File: "front.jpg", Reference: "none"}},
		Areas: []piece.Area{{Name: "all", Outline: fmt.Sprintf("2,2,%d,%d", wide.Width-4, wide.Height-4)},
			{Name: "panel", Outline: wide.Area(bench.Panel).Outline.String()}},
		Coatings: []piece.Coating{{Name: "wash", Kind: "wash", Chip: &piece.ColourSource{Hex: "#5a3a28"}}},
	}
	planned, err = workshop.Plan(b.Context(), files, workshop.PlanRequest{Piece: whole})
	require.NoError(b, err)
	open, err = workshop.OpenPhotos(b.Context(), files, &whole)
	require.NoError(b, err)
	b.Run("Whole12Megapixels", func(b *testing.B) {
		var beside, work float64
		for b.Loop() {
			start := b.Elapsed()
			photo, err := imageio.Decode(b.Context(), wide.JPEG, "front.jpg")
			require.NoError(b, err)
			require.NotNil(b, photo)
			decoded := b.Elapsed()
			after, _, err := workshop.NewPreview(open, planned, workshop.PreviewOptions{Width: -1}).Counts(b.Context(), "all",
				[]plan.CoatCount{{Coating: "wash", Count: 1}})
			require.NoError(b, err)
			done := b.Elapsed()
			var out bytes.Buffer
			require.NoError(b, jpeg.Encode(&out, after, &jpeg.Options{Quality: 90}))
			end := b.Elapsed()
			beside += (decoded - start + end - done).Seconds()
			work += (done - decoded).Seconds()
		}
		b.ReportMetric((beside+work)/beside, "times-decode-and-encode")
	})
}
