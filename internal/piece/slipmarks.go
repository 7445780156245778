package piece

import (
	"slices"

	"huewright/imageio"
)

// SlipMarks are what somebody has said of the printed slips in a photo. The zero value is nothing: those that are found.
type SlipMarks struct {
	NotSlips    []imageio.Point    `json:"not_slips,omitempty"`    // points on what was taken for a printed slip and is none
	SlipCorners [][4]imageio.Point `json:"slip_corners,omitempty"` // of the frames of slips that were found wrong or not at all
}

// ParseSlipCorners reads the four outer corners of a printed slip's dark frame, "x,y x,y x,y x,y" in upright pixels, round it from any of
// them.
func ParseSlipCorners(s string) ([4]imageio.Point, error) {
	corners, n, err := fourPoints(s, "slip_corners")
	if n != len(corners) {
		return corners, atKey("slip_corners", "piece.slip-corners", "n", n)
	}
	return corners, err
}

func (p *Photo) readSlipMarks() (m SlipMarks, err error) {
	for _, text := range p.NotSlips {
		at, ok := parsePoint(text)
		if !ok {
			return m, atKey("not_slip", "piece.point", "text", text)
		}
		m.NotSlips = append(m.NotSlips, at)
	}
	for _, text := range p.SlipCorners {
		corners, err := ParseSlipCorners(text)
		if err != nil {
			return m, err
		}
		m.SlipCorners = append(m.SlipCorners, corners)
	}
	return m, nil
}

// SlipMarksOf are what a piece says of the slips in the photo of a file; nothing where none of its photos is of that file, or what it says
// cannot be read.
func (p *Piece) SlipMarksOf(file string) (m SlipMarks) {
	if i := slices.IndexFunc(p.Photos, func(f Photo) bool { return f.File == file }); i >= 0 {
		m, _ = p.Photos[i].readSlipMarks()
	}
	return m
}
