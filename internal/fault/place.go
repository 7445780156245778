package fault

import (
	"fmt"
	"strings"
)

// A Place is where something was found. All of it may be empty.
type Place struct {
	File   string `json:"file,omitempty"`   // as the user gave it: a photo, a piece file
	Line   int    `json:"line,omitempty"`   // in the file, from 1; 0 for the whole of it
	Column int    `json:"column,omitempty"` // from 1
	Area   string `json:"area,omitempty"`   // of a piece, or an outline's name
}

// Or is a place with what it lacks taken from another.
func (p Place) Or(q Place) Place {
	if p.File == "" {
		p.File, p.Line, p.Column = q.File, q.Line, q.Column
	}
	if p.Area == "" {
		p.Area = q.Area
	}
	return p
}

// String is the place as compilers write it: cabinet.toml:12:3, with the area after it.
func (p Place) String() string {
	var parts []string
	switch {
	case p.File != "" && p.Line > 0:
		parts = append(parts, fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column))
	case p.File != "":
		parts = append(parts, p.File)
	}
	if p.Area != "" {
		parts = append(parts, p.Area)
	}
	return strings.Join(parts, ": ")
}
