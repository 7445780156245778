// Package piece is the piece file: the furniture, its photographs and what in them has known colours,
// the areas, the coatings and the room, with all checks of what it says. It knows nothing of what is
// asked of a piece.
package piece
