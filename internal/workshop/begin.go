package workshop

import (
	"maps"

	"huewright/imageio/region"
	"huewright/internal/piece"
)

// BeginPiece is a piece of the photos, areas and ties of a measurement. An area that several photos show is one area, first
// outlined in the first of them. What is said of its coatings and its target is left to be added.
func BeginPiece(name string, req SeveralRequest) *piece.Piece {
	p := &piece.Piece{Name: name}
	there, at := map[string]bool{}, map[string]int{}
	for i := range req.Photos {
		asked := &req.Photos[i]
		photo := piece.PhotoName(asked.Photo)
		there[photo] = true
		p.Photos = append(p.Photos, asked.Reference.InPiece(photo, asked.Photo))
		for _, a := range asked.Areas {
			k, again := at[a.Name]
			if again && p.Areas[k].Photo != photo && p.Areas[k].Also[photo] == "" {
				if p.Areas[k].Also == nil {
					p.Areas[k].Also = map[string]string{}
				}
				p.Areas[k].Also[photo] = a.Outline.String()
				continue
			}
			at[a.Name] = len(p.Areas) // of one name twice in a photo, both stay, and the piece's check says so
			area := piece.Area{Name: a.Name, Photo: photo}
			if len(a.Outline.Points) > 0 {
				area.Outline = a.Outline.String()
			} else {
				area.Tap = region.TapsText(a.Taps)
			}
			p.Areas = append(p.Areas, area)
		}
	}
	for _, t := range req.Ties {
		in := maps.Clone(t.In)
		maps.DeleteFunc(in, func(photo, _ string) bool { return !there[photo] })
		if len(in) > 1 {
			p.Ties = append(p.Ties, piece.Tie{Name: t.Name, In: in})
		}
	}
	return p
}
