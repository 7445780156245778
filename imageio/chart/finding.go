package chart

import (
	"fmt"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// A flaw is why what a search found is no chart that can be used.
type flaw string

const (
	eitherWay flaw = "either way round"
	mirrored  flaw = "mirrored"
	covered   flaw = "partly covered"
	cutOff    flaw = "cut off"
	otherCard flaw = "another card"
	tooSmall  flaw = "too small"
)

// A finding is a card that was found, judged by its colours.
type finding struct {
	corners [4]imageio.Point
	other   [4]imageio.Point // corners for the best of the other ways round
	half    patchHalf
	flaw    flaw     // "" for a chart that may be used
	hidden  []string // patches that do not show their colour
	outside []string // patches that the picture does not show, or only in part
	misfit  float64  // ΔE00: mean over the patches, any one counting at most mostMisfit
	next    float64  // the same for the best of the other ways round
	shown   int      // patches that show their colour
	samples []camera.Sample
	logs    *wantedLogs
	framed  [chartPatches]bool // patches whose edges were seen
}

// mostHidden is how many patches may not show their colour before the chart counts as partly covered. The fit of
// the correction can do without so many.
const mostHidden = 2

// where is the middle of the patch field, as x,y.
func (f *finding) where() string {
	m := plane.Centre(f.corners)
	return fmt.Sprintf("%.0f,%.0f", m.X, m.Y)
}
