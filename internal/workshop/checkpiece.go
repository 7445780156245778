package workshop

import (
	"context"
	"slices"

	"huewright/blend/plan"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A RepairChecked is the answer for one repair of a piece, or why there is none.
type RepairChecked struct {
	Name    string
	Request CheckRequest
	Result  *CheckResult // nil with Err
	Err     error
	AtEnd   *RepairAtEnd // what is still to come over it and its wood; nil where that is not known, or nothing
}

// A RepairAtEnd is a repair whose wood has still to be coloured: the piece has a spot of its name, and a plan for it.
type RepairAtEnd struct {
	Coats   int // that its wood still gets
	TouchUp plan.TouchUp
}

// CheckPiece judges every repair of a piece, with its own coatings for the shelf. A fault in one does
// not stop the rest. It returns a fault for a piece without repairs.
func CheckPiece(ctx context.Context, files Files, p *piece.Piece) ([]RepairChecked, error) {
	if len(p.Repairs) == 0 {
		return nil, fault.New(fault.Use, "piece.no-repairs")
	}
	var all []RepairChecked
	ends, err := repairEnds(ctx, files, p)
	if err != nil {
		return nil, err
	}
	for _, r := range p.Repairs {
		checked := RepairChecked{Name: r.Name}
		req, err := checkRequest(p, r)
		if err == nil {
			checked.Request = req
			checked.Result, err = Check(ctx, files, req)
		}
		if checked.AtEnd = ends[r.Name]; checked.AtEnd != nil && err == nil {
			checked.Result.Advice = slices.DeleteFunc(checked.Result.Advice, func(n fault.Note) bool { return slices.Contains(colourNow, n.Code) })
		}
		if ended := ctx.Err(); ended != nil {
			return nil, ended
		}
		checked.Err = err
		all = append(all, checked)
	}
	return all, nil
}

// colourNow is advice that would match a repair to its wood as it is now.
var colourNow = []fault.Code{"mend.leave", "mend.touch-up", "mend.too-dark", "mend.make-a-knot", "mend.nothing-helps", "mend.wants"}

// repairEnds plans the piece where one of its repairs is a spot of its areas, and says of each such repair what is still to come. A piece
// that cannot be planned is judged as it is now.
func repairEnds(ctx context.Context, files Files, p *piece.Piece) (map[string]*RepairAtEnd, error) {
	ends := map[string]*RepairAtEnd{}
	if len(p.Coatings) == 0 || !slices.ContainsFunc(p.Repairs, func(r piece.Repair) bool {
		a := p.AreaNamed(r.Name)
		return a != nil && a.PartOf != ""
	}) {
		return ends, nil
	}
	planned, err := Plan(ctx, files, PlanRequest{Piece: *p})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return ends, nil
	}
	for i := range planned.TouchUps {
		t := &planned.TouchUps[i]
		if coats := planned.Named(t.Area).Planned(); coats > 0 {
			ends[t.Area] = &RepairAtEnd{coats, *t}
		}
	}
	return ends, nil
}

func checkRequest(p *piece.Piece, r piece.Repair) (req CheckRequest, err error) {
	i := slices.IndexFunc(p.Photos, func(photo piece.Photo) bool { return photo.Name == r.Photo || r.Photo == "" && len(p.Photos) == 1 })
	if i < 0 {
		return req, noPhoto(p, r.Photo)
	}
	req.Photo = p.Photos[i].File
	if req.Reference, err = p.Photos[i].ReadReference(); err != nil {
		return req, err
	}
	if req.Repair, err = imageio.ParseOutline(r.Outline); err != nil {
		return req, err
	}
	if r.Wood != "" {
		wood, err := imageio.ParseOutline(r.Wood)
		if err != nil {
			return req, err
		}
		req.Wood = &wood
	}
	for _, text := range r.Exclude {
		o, err := imageio.ParseOutline(text)
		if err != nil {
			return req, err
		}
		req.Exclude = append(req.Exclude, o)
	}
	if len(p.Coatings) > 0 {
		req.Shelf = p
	}
	return req, nil
}

// CheckRepair judges one repair of a piece.
func CheckRepair(ctx context.Context, files Files, p *piece.Piece, name string) (CheckRequest, *CheckResult, error) {
	var names []string
	for _, r := range p.Repairs {
		if r.Name != name {
			names = append(names, r.Name)
			continue
		}
		req, err := checkRequest(p, r)
		if err != nil {
			return req, nil, err
		}
		result, err := Check(ctx, files, req)
		return req, result, err
	}
	return CheckRequest{}, nil, piece.Unknown("piece.no-repair", name, names)
}
