package container

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/bep/imagemeta"

	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// ShootingFacts is what the camera noted about a photo. Each field is zero when it did not.
type ShootingFacts struct {
	Taken        time.Time // by the camera's clock; its zone when it says one, else UTC
	Exposure     float64   // seconds
	Aperture     float64   // f-number
	ISO          int
	FocalLength  float64 // millimetres
	FocalAs35    float64 // millimetres, of a lens that sees as much on a frame of 36 × 24
	Flash        bool    // it fired
	WhiteBalance string  // "auto" or "manual"
	ExposureMode string  // "auto", "manual" or "bracket"
	HDR          bool    // the camera merged several exposures to show more between dark and light
	Scene        string  // "night" when the camera's night mode took it
	Make, Model  string  // of the camera
}

// colourSpace is what EXIF says of it, for a picture without a profile.
type colourSpace struct {
	wideGamut    bool // the camera was set to its optional, wider one
	uncalibrated bool // the colours are said not to be sRGB
}

// exifFacts is all that is read of EXIF.
type exifFacts struct {
	ShootingFacts
	colourSpace
	orientation int // 1–8; 0 when not given
}

// readFacts reads EXIF, as far as it is readable. The second result is false when it is
// damaged; what was read before the damage stands.
//
// Source: CIPA DC-008 (EXIF) 2.32, 4.6; DCF 2.0 for the optional colour space.
func readFacts(block []byte, in imagemeta.ImageFormat) (facts exifFacts, whole bool) {
	if len(block) == 0 {
		return facts, true
	}
	defer func() {
		if recover() != nil {
			whole = false
		}
	}()
	var taken, zone string
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(block), ImageFormat: in, Sources: imagemeta.EXIF,
		Timeout:         2 * time.Second,
		ShouldHandleTag: func(tag imagemeta.TagInfo) bool { return !strings.HasPrefix(tag.Namespace, "IFD1") },
		HandleTag: func(tag imagemeta.TagInfo) error {
			switch tag.Tag {
			case "DateTimeOriginal":
				taken = text(tag.Value)
			case "OffsetTimeOriginal":
				zone = text(tag.Value)
			default:
				facts.take(tag)
			}
			return nil
		},
	})
	facts.Taken = clock(taken, zone)
	return facts, err == nil
}

func (f *exifFacts) take(tag imagemeta.TagInfo) {
	if strings.HasSuffix(tag.Namespace, "InteroperabilityIFD") {
		// Its tag 1 has the number of a GPS tag, under whose name it comes.
		f.wideGamut = f.wideGamut || text(tag.Value) == "R03"
		return
	}
	switch tag.Tag {
	case "Orientation":
		if v := int(number(tag.Value)); tag.Namespace == "IFD0" && v >= 1 && v <= 8 {
			f.orientation = v
		}
	case "ExposureTime":
		f.Exposure = number(tag.Value)
	case "FNumber":
		f.Aperture = number(tag.Value)
	case "ISO":
		f.ISO = int(number(tag.Value))
	case "FocalLength":
		f.FocalLength = number(tag.Value)
	case "FocalLengthIn35mmFormat":
		f.FocalAs35 = number(tag.Value)
	case "Flash":
		f.Flash = int(number(tag.Value))&1 != 0
	case "WhiteBalance":
		f.WhiteBalance = [2]string{"auto", "manual"}[int(number(tag.Value))&1]
	case "ExposureMode":
		if mode, ok := tag.Value.(uint16); ok && mode < 3 {
			f.ExposureMode = [3]string{"auto", "manual", "bracket"}[mode]
		}
	case "CustomRendered":
		// The standard knows 1, a process of the camera's own. Phones write what it was: 2, 3
		// and 7 for HDR without the original, with it, and in a portrait. Common practice, no
		// source.
		switch number(tag.Value) {
		case 2, 3, 7:
			f.HDR = true
		}
	case "SceneCaptureType":
		if number(tag.Value) == 3 {
			f.Scene = "night"
		}
	case "ColorSpace":
		f.uncalibrated = number(tag.Value) == 0xffff
	case "Make":
		f.Make = text(tag.Value)
	case "Model":
		f.Model = text(tag.Value)
	}
}

// Warnings says what of the shooting makes colours less sure.
func (f ShootingFacts) Warnings() []fault.Note {
	var out []fault.Note
	if f.Flash {
		out = append(out, fault.Say("photo.flash"))
	}
	if f.Scene == "night" {
		out = append(out, fault.Say("photo.night-mode"))
	}
	if f.HDR {
		out = append(out, fault.Say("photo.hdr-mode"))
	}
	return out
}

// clock reads EXIF's "2021:04:11 15:47:53" and, when there is one, "-05:00".
func clock(taken, zone string) time.Time {
	if t, err := time.Parse("2006:01:02 15:04:05 -07:00", taken+" "+zone); err == nil {
		return t
	}
	t, err := time.Parse("2006:01:02 15:04:05", taken)
	if err != nil {
		return time.Time{} // unknown, or zeros from a camera whose clock was never set
	}
	return t
}

func text(v any) string { return icc.Printable(fmt.Sprint(v)) }

// number reads a numeric tag; one that is not gives 0, which stands for unknown.
func number(v any) float64 {
	switch v := v.(type) {
	case interface{ Float64() float64 }:
		if f := v.Float64(); f > 0 && !math.IsInf(f, 0) {
			return f
		}
	case uint8:
		return float64(v)
	case uint16:
		return float64(v)
	case uint32:
		return float64(v)
	case int:
		return float64(v)
	}
	return 0
}

// Differences names what the camera did differently in another photo that bears on comparing their colours, each as
// part of a sentence. What either photo does not tell is passed over.
func (f ShootingFacts) Differences(g ShootingFacts) []fault.Note {
	var out []fault.Note
	if differ(f.WhiteBalance, g.WhiteBalance) {
		out = append(out, fault.Say("photo.other-white-balance", "one", f.WhiteBalance, "other", g.WhiteBalance))
	}
	if differ(f.ExposureMode, g.ExposureMode) {
		out = append(out, fault.Say("photo.other-exposure", "one", f.ExposureMode, "other", g.ExposureMode))
	}
	if f.Flash != g.Flash {
		out = append(out, fault.Say("photo.other-flash"))
	}
	if (f.Scene == "night") != (g.Scene == "night") {
		out = append(out, fault.Say("photo.other-night"))
	}
	if f.HDR != g.HDR {
		out = append(out, fault.Say("photo.other-hdr"))
	}
	if differ(f.Make+" "+f.Model, g.Make+" "+g.Model) && f.Model != "" && g.Model != "" {
		out = append(out, fault.Say("photo.other-camera"))
	}
	return out
}

func differ(a, b string) bool { return a != "" && b != "" && a != b }
