// Package piece is the piece file: the furniture, its photos and their references, the areas, the coatings and the
// room, with all checks of what it says. It knows nothing of what is asked of a piece.
//
// [Read] makes a [Piece] from TOML; every fault is an [Error] with line and column. The JSON of a Piece, which pages
// and the log keep, has the same fields. Begin with piece.go, which is the format; check.go and the files beside it
// are what makes sense. Text may stand for a group of keys: short.go puts the group in its place before the file is
// read. Outlines, corners, points and lengths stand as text in a piece; [Photo.ReadReference] and
// the Parse functions read them.
package piece
