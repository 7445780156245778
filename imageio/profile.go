package imageio

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf16"

	"huewright/colour"
)

// profile says what light the codes of a picture mean: a curve for each channel, then a
// matrix.
type profile struct {
	description string
	curves      [3]toneCurve   // code 0–1 to light 0–1
	toSRGB      *colour.Matrix // light in the profile's primaries to that in sRGB's; nil when the same
}

type toneCurve func(float64) float64

var errTableProfile = errors.New("works by tables, which are not read")

// parseProfile reads an ICC profile made of curves and a matrix, or of one grey curve, of
// version 2 or 4, as media-relative colorimetry (no black point compensation, no gamut
// mapping). A profile that has tables as well is read by its matrix: cameras and screens
// bring tables for rendering intents that a measurement does not want.
//
// Source: ICC.1:2022, 7.2 (header), 7.3 (tag table), 8.3 (shaper models), 10 (tag types),
// F.3 (the model); ICC.1:2001-04 for version 2.
func parseProfile(data []byte) (*profile, error) {
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return nil, errors.New("is not an ICC profile")
	}
	tags := profileTags(data)
	p := &profile{description: profileName(tags["desc"])}
	space, connection := string(data[16:20]), string(data[20:24])
	var err error
	switch space {
	case "GRAY":
		if connection != "XYZ " {
			return p, errTableProfile
		}
		p.curves[0], err = parseCurve(tags["kTRC"])
		p.curves[1], p.curves[2] = p.curves[0], p.curves[0]
	case "RGB ":
		if tags["rXYZ"] == nil || connection != "XYZ " {
			return p, errTableProfile
		}
		for i, tag := range []string{"rTRC", "gTRC", "bTRC"} {
			if p.curves[i], err = parseCurve(tags[tag]); err != nil {
				break
			}
		}
		if err == nil {
			p.toSRGB, err = parsePrimaries(tags)
		}
	default:
		return p, fmt.Errorf("is for %s, not for RGB or grey", strings.TrimSpace(printable(space)))
	}
	return p, err
}

// profileTags maps signatures to the bytes of their tags, leaving out those that lie outside.
func profileTags(data []byte) map[string][]byte {
	tags := map[string][]byte{}
	count := min(int(be32(data, 128)), (len(data)-132)/12)
	for i := range count {
		at := 132 + 12*i
		if body := part(data, int(be32(data, at+4)), int(be32(data, at+8))); len(body) >= 8 {
			tags[string(data[at:at+4])] = body
		}
	}
	return tags
}

// parsePrimaries joins the three colorants, given under D50, into a map to sRGB.
func parsePrimaries(tags map[string][]byte) (*colour.Matrix, error) {
	var colorants colour.Matrix
	for i, tag := range []string{"rXYZ", "gXYZ", "bXYZ"} {
		body := tags[tag]
		if len(body) < 20 || string(body[:4]) != "XYZ " {
			return nil, errors.New("lacks a primary")
		}
		for row := range 3 {
			colorants[row][i] = fixed16(body, 8+4*row)
		}
	}
	white := colorants[1][0] + colorants[1][1] + colorants[1][2]
	if det := colorants.Determinant(); math.Abs(det) < 1e-4 || white < 0.5 || white > 2 {
		return nil, errors.New("has primaries that make no white")
	}
	m := xyzToSRGB().Mul(colour.Adaptation(colour.WhiteD50, colour.WhiteD65)).Mul(colorants)
	return &m, nil
}

// fixed16 reads an s15Fixed16Number.
func fixed16(data []byte, at int) float64 { return float64(int32(be32(data, at))) / 65536 }

// profileName reads the description, of version 2 ("desc") or 4 ("mluc").
func profileName(body []byte) string {
	name := ""
	switch {
	case len(body) >= 12 && string(body[:4]) == "desc":
		name = string(part(body, 12, int(be32(body, 8))))
	case len(body) >= 28 && string(body[:4]) == "mluc":
		text := part(body, int(be32(body, 24)), int(be32(body, 20)))
		var units []uint16
		for i := 0; i+1 < len(text); i += 2 {
			units = append(units, be16(text, i))
		}
		name = string(utf16.Decode(units))
	}
	if name = printable(name); name == "" {
		return "a profile without a name"
	}
	return name
}

// printable keeps what may be shown on one line of a terminal, 80 letters at most.
func printable(s string) string {
	letters := make([]rune, 0, 80)
	for _, r := range s {
		if unicode.IsPrint(r) && r != unicode.ReplacementChar && len(letters) < cap(letters) {
			letters = append(letters, r)
		}
	}
	return strings.TrimSpace(string(letters))
}
