package workshop

import "huewright/internal/piece"

// What a piece file says, and what it says wrong, under names that those who only ask or show may use.
type (
	Piece        = piece.Piece
	PiecePhoto   = piece.Photo
	PieceArea    = piece.Area
	PieceRepair  = piece.Repair
	PieceError   = piece.Error
	UseError     = piece.UseError
	Limits       = piece.Limits
	Room         = piece.Room
	Clear        = piece.Clear
	LaidCoats    = piece.LaidCoats
	Tie          = piece.Tie
	Coating      = piece.Coating
	TestCoat     = piece.TestCoat
	Dilution     = piece.Dilution
	ColourSource = piece.ColourSource
	Reference    = piece.Reference
	Neutral      = piece.Neutral
	Length       = piece.Length
)

// Its readers of what a person types.
var (
	ParseCorners = piece.ParseCorners
	ParsePoint   = piece.ParsePoint
	ParseLength  = piece.ParseLength
	ParseNeutral = piece.ParseNeutral
	CheckLab     = piece.CheckLab
)

// Surfaces are the states a surface can be in before it is coloured.
var Surfaces = piece.Surfaces
