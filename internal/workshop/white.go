package workshop

import (
	"cmp"
	"context"
	"slices"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// hardlyGrey is the warning of a card that is perhaps none; see [sample.CheckGrey].
const hardlyGrey fault.Code = "area.hardly-grey"

// balanceRaw is a raw photo balanced for the white that it shows: that of its reference, else the paper of the largest printed slip,
// else the white that its camera noted. It says which: chart, grey, neutral, slips or as-shot; "" of a photo that is not raw, which stays
// as it is. What is marked as grey is held against the camera's own white, as wood that is balanced by itself looks grey: the doubts are
// warnings.
func balanceRaw(ctx context.Context, files Files, photo *imageio.Photo, ref piece.Reference, slips []slip.Slip) (
	balanced *imageio.Photo, by string, doubts []fault.Note, err error,
) {
	if !photo.IsRaw() {
		return photo, "", nil, nil
	}
	var seen colour.LinearRGB
	var is colour.Lab
	switch by = ref.By(); by {
	case "chart":
		opt, err := chartOptions(files, ref)
		if err != nil {
			return nil, by, nil, err
		}
		_, _, shown, err := chart.Fit(ctx, photo, *ref.Corners, opt)
		if err != nil {
			return nil, by, nil, err
		}
		seen, is = shown.White()
	case "grey":
		card, warnings, err := readCard(ctx, photo, ref)
		if err != nil {
			return nil, by, nil, err
		}
		doubts = slices.DeleteFunc(warnings, func(w fault.Note) bool { return w.Code != hardlyGrey })
		seen, is = card.Camera, card.Want
	case "neutral":
		papers, _ := ref.Slips()
		read, err := evenlight.ReadSlips(ctx, photo, papers)
		if err != nil {
			return nil, by, nil, err
		}
		if doubts, err = evenlight.CheckGrey(ctx, photo, read); err != nil {
			return nil, by, nil, err
		}
		seen, is = evenlight.White(read)
	default:
		if len(slips) == 0 {
			return photo, "as-shot", nil, nil
		}
		by = "slips"
		largest := slices.MaxFunc(slips, func(a, b slip.Slip) int { return cmp.Compare(a.Pixels(), b.Pixels()) })
		patches, err := slip.Read(ctx, photo, &largest)
		switch {
		case fault.Of(err) != nil, err == nil && patches[0].Clipped > 0: // too small or too light to tell
			return photo, "as-shot", nil, nil
		case err != nil:
			return nil, by, nil, err
		}
		seen, is = patches[0].Camera, colour.Lab{L: slipLightness} // the first patch of every slip is paper
	}
	return photo.BalancedBy(seen, is), by, doubts, nil
}

// sayLight is what a raw photo's light costs; nothing in daylight.
func sayLight(photo *imageio.Photo) (notes []fault.Note) {
	switch photo.Light() {
	case sensor.Lamp:
		notes = append(notes, fault.Say("photo.raw-lamp"))
	case sensor.OtherLight:
		notes = append(notes, fault.Say("photo.raw-other-light"))
	}
	return notes
}
