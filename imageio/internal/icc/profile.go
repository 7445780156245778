package icc

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf16"

	"huewright/colour"
	"huewright/imageio/internal/bigendian"
)

// A Profile says what light the codes of a picture mean: by a curve for each channel, then a
// matrix, or by a table.
type Profile struct {
	Description string
	curves      [3]toneCurve   // code 0–1 to light 0–1
	toSRGB      *colour.Matrix // light in the profile's primaries to that in sRGB's; nil when the same
	table       *table         // in place of both; nil when there is none
	Inks        bool           // the codes are amounts of cyan, magenta, yellow and black
}

// ParseProfile reads an ICC profile of version 2 or 4 for RGB, grey or CMYK, as media-relative
// colorimetry (no black point compensation, no gamut mapping): by its table for that intent,
// else its only table, else its curves and matrix.
//
// Source: ICC.1:2022, 7.2 (header), 7.3 (tag table), 8 (what a profile needs, and 8.10.2 for
// the order), 10 (tag types), F.3 (curves and matrix); ICC.1:2001-04 for version 2.
func ParseProfile(data []byte) (*Profile, error) {
	if len(data) < 132 || string(data[36:40]) != "acsp" {
		return nil, errors.New("is not an ICC profile")
	}
	tags := profileTags(data)
	p := &Profile{Description: profileName(tags["desc"])}
	space, connection := string(data[16:20]), string(data[20:24])
	if tableInputs[space] == 0 {
		return p, fmt.Errorf("is for %s, not for RGB, grey or CMYK", strings.TrimSpace(Printable(space)))
	}
	p.Inks = space == "CMYK"
	for _, intent := range []string{"A2B1", "A2B0"} {
		if body := tags[intent]; body != nil {
			var err error
			p.table, err = parseTable(body, space, connection)
			return p, err
		}
	}
	switch {
	case space == "GRAY":
		return p, p.readGrey(tags["kTRC"], connection)
	case space == "RGB " && connection == "XYZ ":
		return p, p.readShaper(tags)
	}
	return p, errors.New("lacks the table that says what its codes mean")
}

// readGrey reads the curve of a grey profile, which leads to light or to lightness.
func (p *Profile) readGrey(body []byte, connection string) error {
	curve, err := parseCurve(body)
	if err != nil {
		return err
	}
	grey := curve
	if connection == "Lab " {
		grey = func(v float64) float64 { return colour.Lab{L: 100 * curve(v)}.XYZ().Y }
	}
	p.curves = [3]toneCurve{grey, grey, grey}
	return nil
}

// readShaper reads three curves and the colorants behind them.
func (p *Profile) readShaper(tags map[string][]byte) (err error) {
	for i, tag := range []string{"rTRC", "gTRC", "bTRC"} {
		if p.curves[i], err = parseCurve(tags[tag]); err != nil {
			return err
		}
	}
	p.toSRGB, err = parsePrimaries(tags)
	return err
}

// profileTags maps signatures to the bytes of their tags, leaving out those that lie outside.
func profileTags(data []byte) map[string][]byte {
	tags := map[string][]byte{}
	count := min(int(bigendian.Uint32(data, 128)), (len(data)-132)/12)
	for i := range count {
		at := 132 + 12*i
		if body := bigendian.Part(data, int(bigendian.Uint32(data, at+4)), int(bigendian.Uint32(data, at+8))); len(body) >= 8 {
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
	m := fromD50().Mul(colorants)
	return &m, nil
}

// profileName reads the description, of version 2 ("desc") or 4 ("mluc").
func profileName(body []byte) string {
	name := ""
	switch {
	case len(body) >= 12 && string(body[:4]) == "desc":
		name = string(bigendian.Part(body, 12, int(bigendian.Uint32(body, 8))))
	case len(body) >= 28 && string(body[:4]) == "mluc":
		text := bigendian.Part(body, int(bigendian.Uint32(body, 24)), int(bigendian.Uint32(body, 20)))
		var units []uint16
		for i := 0; i+1 < len(text); i += 2 {
			units = append(units, bigendian.Uint16(text, i))
		}
		name = string(utf16.Decode(units))
	}
	if name = Printable(name); name == "" {
		return "a profile without a name"
	}
	return name
}

// Printable keeps what may be shown on one line of a terminal, 80 letters at most.
func Printable(s string) string {
	letters := make([]rune, 0, 80)
	for _, r := range s {
		if unicode.IsPrint(r) && r != unicode.ReplacementChar && len(letters) < cap(letters) {
			letters = append(letters, r)
		}
	}
	return strings.TrimSpace(string(letters))
}
