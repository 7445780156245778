// Package demo is the piece that can be tried without a photo of one's own: the drawn music cabinet of bench with its piece file, as the
// command line and the pages begin with it. Begin with Draw.
package demo

import (
	"context"
	"fmt"
	"io/fs"
	"strings"

	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// The names of the demo's files.
const (
	Photo     = "front.jpg"
	PieceFile = "cabinet.toml"
)

// A Cabinet is the drawn cabinet, its photo and piece file, and what that file says.
type Cabinet struct {
	Drawn *bench.Demo
	Files Files
	Piece *piece.Piece
}

// Draw draws the cabinet, which takes about a second; it is always the same. The hard one cannot come to its target with what is on its
// shelf. The error is the context's.
func Draw(ctx context.Context, hard bool) (*Cabinet, error) {
	draw := bench.DemoPiece
	if hard {
		draw = bench.HardPieceContext
	}
	drawn, err := draw(ctx)
	if err != nil {
		return nil, err
	}
	c := &Cabinet{Drawn: drawn, Files: Files{Photo: drawn.JPEG, PieceFile: []byte(pieceFile(drawn))}}
	c.Piece, err = workshop.ReadPiece(c.Files, PieceFile)
	return c, err
}

// pieceFile is the demo's piece as its owner would have written it.
func pieceFile(d *bench.Demo) string {
	outline := func(name string) string { return d.Area(name).Outline.String() }
	var corners []string
	for _, c := range d.Corners {
		corners = append(corners, fmt.Sprintf("%.0f,%.0f", c.X, c.Y))
	}
	file := fmt.Sprintf(fileBeginning, outline(bench.Target), Photo, strings.Join(corners, " "))
	for _, a := range []struct {
		name, wood, surface string
		size                float64
	}{{bench.Frame, "ash", "sealed", 0.62}, {bench.Panel, "sapele", "sealed", 0.31}, {bench.Corner, "filler", "non-absorbing", 0.01}} {
		var whole []string
		for _, o := range d.Wholes[a.name] {
			whole = append(whole, fmt.Sprintf("\n    %q,", o.String()))
		}
		file += fmt.Sprintf(fileArea, a.name, a.wood, a.surface, outline(a.name), a.size, strings.Join(whole, ""))
	}
	file += fmt.Sprintf(fileRepair, outline(bench.Corner))
	file += fmt.Sprintf(fileWash, d.Paint, d.Water, outline(bench.Chip), outline(bench.FrameBare), outline(bench.FrameTested),
		outline(bench.PanelBare), outline(bench.PanelTested))
	if d.Glaze != nil {
		file += fmt.Sprintf(fileGlaze, outline(bench.GlazeBare), outline(bench.GlazeTested), outline(bench.GlazePanelBare),
			outline(bench.GlazePanelTested))
	}
	return file
}

// The parts of that file.
const (
	fileBeginning = `# A music cabinet: ash frame, sapele panels, one corner rebuilt in filler.
# All of it is to come to the sample board that stands beside it.

name = "music cabinet"

[target]
outline = %q

[[photo]]
name    = "front"
file    = %q
corners = %q    # of the chart, from the dark-brown patch along its row of six, then round
`
	fileArea = `
[[area]]
name    = %q
wood    = %q
surface = %q
outline = %q
size_m2 = %.2f
shown   = [    # all of it, for pictures%s
]
`
	fileRepair = `
[[repair]]
name    = "filled corner"    # for huewright check
outline = %q
`
	fileTests = `
[[coating.test]]
coats  = 1
ground = { outline = %q }    # ash beside the test coat
result = { outline = %q }    # ash under it

[[coating.test]]
coats  = 1
ground = { outline = %q }    # sapele beside the test coat
result = { outline = %q }    # sapele under it
`
	fileWash = `
[[coating]]
name     = "nut-brown wash"
kind     = "wash"
family   = "water"
dilution = { paint = %d, water = %d }
chip     = { outline = %q }    # a dried blob of the paint
` + fileTests
	fileGlaze = `
[[coating]]
name     = "red-brown glaze"
kind     = "glaze"
family   = "water"
dilution = { paint = 1, water = 0 }    # not thinned
` + fileTests + `
# The glaze first, on the pale wood alone; then one coat of the wash over all.

[[layer]]
coating = "red-brown glaze"
areas   = ["frame", "filled corner"]
coats   = "plan"

[[layer]]
coating = "nut-brown wash"
coats   = 1
`
)

// Files are files that exist in memory only, by their names.
type Files map[string][]byte

// ReadFile gives a file; the error is fs.ErrNotExist for one that is not there.
func (f Files) ReadFile(path string) ([]byte, error) {
	data, ok := f[path]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return data, nil
}

// OpenPhoto decodes a photo. The error is a fault, or that of the context.
func (f Files) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	data, err := f.ReadFile(path)
	if err != nil {
		return nil, fault.In(fault.New(fault.Photo, "photo.no-file").Because(err), fault.Place{File: path})
	}
	return imageio.Decode(ctx, data, path)
}
