package workshop

import (
	"fmt"

	"huewright/internal/piece"
)

// plannable returns what keeps a piece from being planned, or nil.
func plannable(p *piece.Piece) error {
	switch {
	case len(p.Areas) == 0:
		return &piece.UseError{Key: "area", Problem: "the piece has no areas", Advice: "add an [[area]] with a name and an outline for each wood"}
	case len(p.Coatings) == 0:
		return &piece.UseError{Key: "coating", Problem: "the piece has no coatings", Advice: "add a [[coating]] with a name, a kind, and a chip or a test coat"}
	case p.Target != nil:
		return nil
	}
	with := 0
	for _, a := range p.Areas {
		if a.Target != nil {
			with++
		}
	}
	for _, a := range p.Areas {
		if a.Target == nil && with > 0 {
			return &piece.UseError{Key: "target", Problem: fmt.Sprintf("area %q has no target, and others have", a.Name), Advice: "add a [target] for the piece, or target = {…} to the area: an outline, an area, lab or hex; or leave all targets out, and the areas are brought to meet one another"}
		}
	}
	if with == 0 && len(p.Areas) == 1 {
		return &piece.UseError{Key: "target", Problem: fmt.Sprintf("area %q has no target, and no other area to meet", p.Areas[0].Name), Advice: "add a [target]: an outline, an area, lab or hex; or a second area"}
	}
	return nil
}
