package workshop

import (
	"context"
	"slices"

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
}

// CheckPiece judges every repair of a piece, with its own coatings for the shelf. A fault in one does
// not stop the rest. It returns a fault for a piece without repairs.
func CheckPiece(ctx context.Context, files Files, p *piece.Piece) ([]RepairChecked, error) {
	if len(p.Repairs) == 0 {
		return nil, fault.New(fault.Use, "piece.no-repairs")
	}
	var all []RepairChecked
	for _, r := range p.Repairs {
		checked := RepairChecked{Name: r.Name}
		req, err := checkRequest(p, r)
		if err == nil {
			checked.Request = req
			checked.Result, err = Check(ctx, files, req)
		}
		if ended := ctx.Err(); ended != nil {
			return nil, ended
		}
		checked.Err = err
		all = append(all, checked)
	}
	return all, nil
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
