package slip

// What tests outside the package need of it.
const (
	PatchSide = patchSide
	MostWrong = mostWrong
)

// PatchCorner is the top left corner of a patch, in millimetres.
func PatchCorner(i int) (x, y float64) { at := patch(i); return at.X, at.Y }
