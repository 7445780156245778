package slip

// PatchSide is how wide a patch is, in millimetres.
const PatchSide = patchSide

// PatchCorner is the top left corner of a patch, in millimetres.
func PatchCorner(i int) (x, y float64) { at := patch(i); return at.X, at.Y }
