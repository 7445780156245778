package container

import (
	"errors"
	"image"

	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// Meaning chooses what codes of 8 or 16 bits stand for, and says it: the embedded profile first, then code
// points, then the camera's own note, then sRGB. It warns of what was not to be had.
func (p *Picture) Meaning(bits int) (_ *icc.Transfer, description string) {
	switch {
	case p.Lab != 0:
		return icc.LabTransfer, "L*a*b*"
	case p.profile != nil:
		profile, err := icc.ParseProfile(p.profile)
		if err == nil && profile.Inks != p.Inks {
			err = errors.New("icc: the profile is for other colours than the picture has")
		}
		if err == nil {
			return profile.Transfer(bits), profile.Description
		}
		if profile == nil {
			p.note(fault.Say("photo.profile-damaged"))
			break
		}
		p.note(fault.Say("photo.profile-unusable", "profile", profile.Description))
	case p.coding != nil:
		profile, known := p.coding.Profile()
		if !known {
			p.note(fault.Say("photo.code-points", "primaries", p.coding.Primaries, "curve", p.coding.Curve))
		}
		return profile.Transfer(bits), profile.Description
	case p.colourSpace.wideGamut:
		profile := icc.OpRGBProfile()
		return profile.Transfer(bits), profile.Description
	case p.colourSpace.uncalibrated:
		p.note(fault.Say("photo.uncalibrated"))
	}
	return icc.SRGBTransfer(bits), "sRGB assumed"
}

// hasInkProfile reports whether the embedded profile can say what inks look like.
func (p *Picture) hasInkProfile() bool {
	profile, err := icc.ParseProfile(p.profile)
	return err == nil && profile.Inks
}

// correctRange mends a file that says narrow range and fills the full one. Narrow range
// leaves the ends to the overshoot of sharp edges, a tenth of a per cent of a real picture.
func (p *Picture) correctRange() {
	const overshoot = 0.02 // share of pixels; our own choice
	picture, ok := p.Image.(*image.YCbCr)
	if transparent, is := p.Image.(*image.NYCbCrA); is {
		picture, ok = &transparent.YCbCr, true
	}
	if !ok || p.coding == nil || p.coding.Full {
		return
	}
	outside, all := 0, 0
	for y := 0; y < picture.Rect.Dy(); y += 4 {
		for x := 0; x < picture.Rect.Dx(); x += 4 {
			all++
			if l := picture.Y[y*picture.YStride+x]; l < 16 || l > 235 {
				outside++
			}
		}
	}
	if float64(outside) > overshoot*float64(all) {
		p.note(fault.Say("photo.full-range"))
		full := *p.coding
		full.Full = true
		p.YCC = full.YCC()
	}
}
