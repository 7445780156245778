package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/atomicfile"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

const (
	demoPhoto = "front.jpg"
	demoPiece = "cabinet.toml"
)

type demoFlags struct {
	out  string
	json bool
}

func newDemo(stdout io.Writer) *cobra.Command {
	var flags demoFlags
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "do the whole job on a drawn cabinet",
		Long: `Demo does the whole job on a drawn music cabinet. The cabinet has an ash frame, sapele panels and a corner rebuilt in
filler.

Demo measures the woods by the colour chart in the picture. It learns a wash from a dried blob and a test coat on each
wood. Then it plans the coats that bring each area to the sample board. Because the cabinet is drawn, the true
answers are known. They stand beside the plan's.`,
		Example: `huewright demo
huewright demo --out try && huewright plan try/cabinet.toml`,
		Args: shell.Exactly(0, "none", "--out try"),
		RunE: func(cmd *cobra.Command, args []string) error { return runDemo(cmd.Context(), stdout, &flags) },
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "Keep the photo and the piece file in this `FOLDER`, to try things with.")
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runDemo(ctx context.Context, stdout io.Writer, flags *demoFlags) error {
	drawn, err := bench.DemoPieceContext(ctx)
	if err != nil {
		return err
	}
	files := drawnFiles{demoPhoto: drawn.JPEG, demoPiece: []byte(demoPieceFile(drawn))}
	if flags.out != "" {
		if err := files.writeTo(flags.out); err != nil {
			return err
		}
	}
	piece, err := workshop.ReadPiece(files, demoPiece)
	if err != nil {
		return err
	}
	plan, err := workshop.Plan(ctx, files, workshop.PlanRequest{Piece: *piece})
	if err != nil {
		return err
	}
	result := demoResult{plan: plan, truths: truthsOf(drawn, plan), folder: flags.out}
	return shell.PrintResult(stdout, flags.json, &result, demoText, demoJSON)
}

// A demoResult is the demo's plan beside what is true of the drawn cabinet.
type demoResult struct {
	plan   *workshop.PlanResult
	truths []truth
	folder string // that has the files; "" where they were not kept
}

// A truth is one area's answers beside the true ones.
type truth struct {
	Area      string  `json:"area"`
	ColourOff float64 `json:"colour_off"`    // ΔE00 of the measured colour to the true one
	Planned   int     `json:"planned_count"` // of coats
	True      int     `json:"true_count"`
}

func truthsOf(drawn *bench.Demo, plan *workshop.PlanResult) (all []truth) {
	for i, answer := range drawn.Answers {
		a := plan.Areas[i]
		t := truth{Area: answer.Area, True: answer.Coats, ColourOff: colour.DeltaE2000(drawn.Area(answer.Area).Lab, a.Start.Lab)}
		t.Planned = a.Planned()
		all = append(all, t)
	}
	return all
}

func demoText(w io.Writer, r *demoResult) error {
	if err := shell.Style(w, false).PlanText(w, r.plan); err != nil {
		return err
	}
	var s strings.Builder
	s.WriteString("\n  The cabinet is drawn, so the true answers are known:\n")
	s.WriteString("    area           colour off by   coats planned   closest of all\n")
	for _, t := range r.truths {
		fmt.Fprintf(&s, "    %-15s %9.1f %15d %17d\n", t.Area, t.ColourOff, t.Planned, t.True)
	}
	next := "huewright demo --out FOLDER keeps the photo and the piece file, to try things with."
	if r.folder != "" {
		next = fmt.Sprintf("look at %s, change %s, and run: huewright plan %s",
			filepath.Join(r.folder, demoPhoto), filepath.Join(r.folder, demoPiece), filepath.Join(r.folder, demoPiece))
	}
	fmt.Fprintf(&s, "\n  Next: %s\n", next)
	_, err := io.WriteString(w, s.String())
	return err
}

func demoJSON(w io.Writer, r *demoResult) error {
	var plan bytes.Buffer
	if err := report.PlanJSON(&plan, r.plan); err != nil {
		return err
	}
	return shell.WriteJSON(w, map[string]any{"folder": r.folder, "plan": json.RawMessage(plan.Bytes()), "truth": r.truths})
}

// demoPieceFile is the demo's piece as its owner would have written it.
//
// Note: its length is that of the file.
func demoPieceFile(d *bench.Demo) string {
	outline := func(name string) string { return d.Area(name).Outline.String() }
	var corners []string
	for _, c := range d.Corners {
		corners = append(corners, fmt.Sprintf("%.0f,%.0f", c.X, c.Y))
	}
	return fmt.Sprintf(`# A music cabinet: ash frame, sapele panels, one corner rebuilt in filler.
# All of it is to come to the sample board that stands beside it.

name = "music cabinet"

[target]
outline = %q

[[photo]]
name    = "front"
file    = %q
corners = %q    # of the chart, from the dark-brown patch along its row of six, then round

[[area]]
name    = "frame"
wood    = "ash"
surface = "sealed"
outline = %q
size_m2 = 0.62

[[area]]
name    = "panel"
wood    = "sapele"
surface = "sealed"
outline = %q
size_m2 = 0.31

[[area]]
name    = "filled corner"
wood    = "filler"
surface = "non-absorbing"
outline = %q
size_m2 = 0.01

[[repair]]
name    = "filled corner"    # for huewright check
outline = %q

[[coating]]
name     = "nut-brown wash"
kind     = "wash"
dilution = { paint = %d, water = %d }
chip     = { outline = %q }    # a dried blob of the paint

[[coating.test]]
coats  = 1
ground = { outline = %q }    # ash beside the test coat
result = { outline = %q }    # ash under it

[[coating.test]]
coats  = 1
ground = { outline = %q }    # sapele beside the test coat
result = { outline = %q }    # sapele under it
`,
		outline(bench.Target), demoPhoto, strings.Join(corners, " "),
		outline(bench.Frame), outline(bench.Panel), outline(bench.Corner), outline(bench.Corner),
		d.Paint, d.Water, outline(bench.Chip),
		outline(bench.FrameBare), outline(bench.FrameTested),
		outline(bench.PanelBare), outline(bench.PanelTested))
}

// drawnFiles are files that exist in memory only.
type drawnFiles map[string][]byte

func (f drawnFiles) ReadFile(path string) ([]byte, error) {
	data, ok := f[path]
	if !ok {
		return nil, fs.ErrNotExist
	}
	return data, nil
}

func (f drawnFiles) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	data, err := f.ReadFile(path)
	if err != nil {
		return nil, fault.In(fault.New(fault.Photo, "photo.no-file").Because(err), fault.Place{File: path})
	}
	return imageio.Decode(ctx, data, path)
}

// writeTo leaves the files in a folder. It does not write over files that are there: they
// may be somebody's work by now.
func (f drawnFiles) writeTo(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fault.New(fault.Use, "use.folder", "folder", folder, "cause", shell.Cause(err)).Because(err)
	}
	for _, name := range []string{demoPhoto, demoPiece} {
		if _, err := os.Stat(filepath.Join(folder, name)); err == nil {
			return fault.New(fault.Use, "use.work-there", "file", filepath.Join(folder, name))
		}
	}
	for _, name := range []string{demoPhoto, demoPiece} {
		if err := atomicfile.WriteBytes(filepath.Join(folder, name), f[name]); err != nil {
			return err
		}
	}
	return nil
}
