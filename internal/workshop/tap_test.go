package workshop_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// tappedAt puts a tap in the place of an area's outline.
func tappedAt(area, places string) (from, to string) {
	return "outline = \"" + outlineOf(area) + "\"", "tap = \"" + places + "\""
}

// inMiddle is a place on an area, as a tap is written.
func inMiddle(area string) string {
	return region.TapsText([]region.Tap{{At: drawn().Area(area).Outline.Centre()}})
}

// A piece file may name a place on each wood in place of outlines: it is planned, shown and its repairs are judged as with outlines.
func TestPlanFromTaps(t *testing.T) {
	outlined, err := planCabinet(t, "name = \"cabinet\"\n", closest)
	require.NoError(t, err)
	fromFrame, toFrame := tappedAt(bench.Frame, inMiddle(bench.Frame))
	fromPanel, toPanel := tappedAt(bench.Panel, inMiddle(bench.Panel)+" not "+inMiddle(bench.Frame))
	change := []string{"name = \"cabinet\"\n", closest, fromFrame, toFrame, fromPanel, toPanel}
	tapped, err := planCabinet(t, change...)
	require.NoError(t, err)
	for i, a := range tapped.Areas {
		require.InDelta(t, outlined.Areas[i].Planned(), a.Planned(), 1, a.Area.Name)
		require.Empty(t, a.Area.Tap)
		inside, err := imageio.ParseOutline(a.Area.Outline)
		require.NoError(t, err)
		whole, err := imageio.ParseOutline(a.Area.Shown[0])
		require.NoError(t, err)
		require.Less(t, imageio.CountPixels(inside.Spans(1600, 1200)), imageio.CountPixels(whole.Spans(1600, 1200)))
		for _, other := range []string{bench.Chip, bench.FrameTested, bench.PanelTested, bench.Target} {
			require.False(t, whole.Contains(drawn().Area(other).Outline.Centre()), "%s took %s", a.Area.Name, other)
		}
	}
	says := 0
	for _, w := range tapped.Warnings {
		if w.Code == "tap.taken" {
			says++
		}
	}
	require.Equal(t, 2, says)

	photos := photos()
	photos["cabinet.toml"] = cabinetFile(change...)
	p, err := workshop.ReadPiece(photos, "cabinet.toml")
	require.NoError(t, err)
	require.Equal(t, inMiddle(bench.Frame), p.Areas[0].Tap, "the piece itself stays as it was written")
	after, shown, err := previewOf(t, photos, tapped, workshop.PreviewOptions{}).After(t.Context(), "front")
	require.NoError(t, err)
	require.Len(t, shown, 2)
	at := drawn().Area(bench.Frame).Outline.Centre()
	before, err := previewOf(t, photos, tapped, workshop.PreviewOptions{}).Before(t.Context(), "front")
	require.NoError(t, err)
	require.NotEqual(t, before.At(int(at.X), int(at.Y)), after.At(int(at.X), int(at.Y)))
}

func TestTapsThatCannotBe(t *testing.T) {
	fromFrame, _ := tappedAt(bench.Frame, "")
	fromPanel, _ := tappedAt(bench.Panel, "")
	for name, c := range map[string]struct {
		frame, panel string
		code         fault.Code
		on           fault.Code
	}{
		"beyond the photo": {frame: inMiddle(bench.Frame) + " 5000,20", code: "tap.beyond"},
		"no, beyond it":    {frame: inMiddle(bench.Frame) + " not 5000,20", code: "tap.beyond"},
		"on the chart":     {frame: region.TapsText([]region.Tap{{At: middle(drawn().Corners)}}), code: "tap.on-other", on: "tap.chart"},
		"on another area":  {frame: inMiddle(bench.Panel), code: "tap.on-other", on: "tap.area"},
		"both on one wood": {frame: inMiddle(bench.Frame), panel: inMiddle(bench.Frame), code: "tap.both"},
	} {
		change := []string{fromFrame, "tap = \"" + c.frame + "\""}
		if c.panel != "" {
			change = append(change, fromPanel, "tap = \""+c.panel+"\"")
		}
		_, err := planCabinet(t, change...)
		require.True(t, fault.Is(err, c.code), "%s: %v", name, err)
		f := fault.Of(err)
		require.NotEmpty(t, f.Place.Area, name)
		if c.on != "" {
			require.True(t, strings.Contains(err.Error(), string(c.on)), "%s: %v", name, err)
		}
	}
}

func middle(corners [4]imageio.Point) imageio.Point {
	return imageio.Outline{Points: corners[:]}.Centre()
}
