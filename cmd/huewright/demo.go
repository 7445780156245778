package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/colour"
	"huewright/internal/atomicfile"
	"huewright/internal/bench"
	"huewright/internal/demo"
	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/report/picture"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

const (
	demoPhoto = demo.Photo
	demoPiece = demo.PieceFile
)

type demoFlags struct {
	out  string
	hard bool
	json bool
}

func newDemo(stdout io.Writer) *cobra.Command {
	var flags demoFlags
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "do the whole job on a drawn cabinet",
		Long: `Demo does the whole job on a drawn music cabinet. The cabinet has an ash frame, sapele panels and a corner rebuilt in
filler.

Demo measures the woods by the colour chart in the picture. It learns a glaze and a wash from a dried blob and test
coats on each wood. Then it plans the coats that bring all areas to the sample board, and to each other. Because the
cabinet is drawn, the truth is known. It stands beside the plan.

With --out the photo, the piece file and pictures are kept in a folder. With --hard the shelf has the wash alone, and
the target cannot be had. Demo then says so, and what would help.`,
		Example: `huewright demo
huewright demo --hard
huewright demo --out try && huewright plan try/cabinet.toml`,
		Args: shell.Exactly(0, "none", "--out try"),
		RunE: func(cmd *cobra.Command, args []string) error { return runDemo(cmd.Context(), stdout, &flags) },
	}
	cmd.Flags().StringVar(&flags.out, "out", "", "Keep the photo, the piece file and pictures in this `FOLDER`, to try things with.")
	cmd.Flags().BoolVar(&flags.hard, "hard", false, "Show a cabinet whose target cannot be had, and what would help.")
	cmd.Flags().BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runDemo(ctx context.Context, stdout io.Writer, flags *demoFlags) error {
	cabinet, err := demo.Draw(ctx, flags.hard)
	if err != nil {
		return err
	}
	if flags.out != "" {
		if err := writeDrawn(cabinet.Files, flags.out); err != nil {
			return err
		}
	}
	plan, err := workshop.Plan(ctx, cabinet.Files, workshop.PlanRequest{Piece: *cabinet.Piece})
	if err != nil {
		return err
	}
	result := demoResult{drawn: cabinet.Drawn, plan: plan, hard: flags.hard, folder: flags.out}
	if flags.out != "" {
		if err := result.pictures(ctx, cabinet.Files); err != nil {
			return err
		}
	}
	return shell.PrintResult(stdout, flags.json, &result, demoText, demoJSON)
}

// The pictures that the demo keeps.
const (
	demoBoth  = "before-and-after.jpg"
	demoStrip = "frame-coat-by-coat.jpg"
)

// A demoResult is the demo's plan beside what is true of the drawn cabinet.
type demoResult struct {
	drawn  *bench.Demo
	plan   *workshop.PlanResult
	hard   bool
	folder string // that has the files; "" where they were not kept
}

// A truth is one area's answers beside the true ones.
type truth struct {
	Area      string  `json:"area"`
	ColourOff float64 `json:"colour_off"`    // ΔE00 of the measured colour to the true one
	Planned   int     `json:"planned_count"` // of coats
	Predicted float64 `json:"predicted_end"` // ΔE00 from the target under the planned coats
	True      float64 `json:"true_end"`
}

// ends are the true colours of the areas under the planned coats.
func (r *demoResult) ends() (ends []colour.Lab) {
	for _, a := range r.plan.Areas {
		glaze, wash := 0, 0
		for _, c := range a.Plan.Coats {
			if k := r.plan.Piece.CoatingNamed(c.Coating); k.Kind == "glaze" {
				glaze += c.Count
			} else {
				wash += c.Count
			}
		}
		ends = append(ends, r.drawn.Under(a.Area.Name, glaze, wash))
	}
	return ends
}

func (r *demoResult) truths() (all []truth) {
	target := r.drawn.Area(bench.Target).Lab
	for i, end := range r.ends() {
		a := &r.plan.Areas[i]
		all = append(all, truth{
			Area: a.Area.Name, ColourOff: colour.DeltaE2000(r.drawn.Area(a.Area.Name).Lab, a.Start.Lab), Planned: a.Planned(),
			Predicted: a.Plan.After.Median, True: colour.DeltaE2000(target, end),
		})
	}
	return all
}

// off is how far two areas truly end apart at most or, on the hard piece, an area and the target.
func (r *demoResult) off() (most float64) {
	ends := r.ends()
	for i, a := range ends {
		for _, b := range ends[:i] {
			if !r.hard {
				most = max(most, colour.DeltaE2000(a, b))
			}
		}
	}
	for _, t := range r.truths() {
		if r.hard {
			most = max(most, t.True)
		}
	}
	return most
}

// pictures leaves in the folder the piece before and after its coats, and the frame after each of them.
func (r *demoResult) pictures(ctx context.Context, files demo.Files) error {
	photos, err := workshop.OpenPhotos(ctx, files, &r.plan.Piece)
	if err != nil {
		return err
	}
	preview := workshop.NewPreview(photos, r.plan, workshop.PreviewOptions{Width: demoWidth})
	before, err := preview.Before(ctx, "front")
	if err != nil {
		return err
	}
	after, _, err := preview.After(ctx, "front")
	if err != nil {
		return err
	}
	if err := writePicture(ctx, filepath.Join(r.folder, demoBoth), picture.Pair(before, after)); err != nil {
		return err
	}
	strip, shown, err := preview.Strip(ctx, bench.Frame)
	if err != nil {
		return err
	}
	return writePicture(ctx, filepath.Join(r.folder, demoStrip), picture.Strip(strip, shown, r.plan.Named(bench.Frame).Planned()))
}

// demoWidth is the longer side of each half of a picture, in pixels.
const demoWidth = 800

func demoText(w io.Writer, r *demoResult) error {
	says := words.Speaker{}
	next := says.Say(fault.Say("demo.try", "command", r.command("--out FOLDER")))
	if r.folder != "" {
		next = says.Say(fault.Say("demo.look", "picture", filepath.Join(r.folder, demoBoth), "piece", filepath.Join(r.folder, demoPiece)))
	}
	if !r.hard {
		next += " " + says.Say(fault.Say("demo.see-hard"))
	}
	return shell.Style(w, false).DemoText(w, &report.Demo{Plan: r.plan, Hard: r.hard, Off: r.off(), Next: next})
}

// command is the demo's own, with a flag.
func (r *demoResult) command(flag string) string {
	if r.hard {
		return "huewright demo --hard " + flag
	}
	return "huewright demo " + flag
}

func demoJSON(w io.Writer, r *demoResult) error {
	var plan bytes.Buffer
	if err := report.PlanJSON(&plan, r.plan); err != nil {
		return err
	}
	return shell.WriteJSON(w, map[string]any{"folder": r.folder, "plan": json.RawMessage(plan.Bytes()), "truth": r.truths()})
}

// writeDrawn leaves the files in a folder. It does not write over files that are there: they
// may be somebody's work by now.
func writeDrawn(files demo.Files, folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fault.New(fault.Use, "use.folder", "folder", folder, "cause", shell.Cause(err)).Because(err)
	}
	for _, name := range []string{demoPhoto, demoPiece, demoBoth, demoStrip} {
		if _, err := os.Stat(filepath.Join(folder, name)); err == nil {
			return fault.New(fault.Use, "use.work-there", "file", filepath.Join(folder, name))
		}
	}
	for _, name := range []string{demoPhoto, demoPiece} {
		if err := atomicfile.WriteBytes(filepath.Join(folder, name), files[name]); err != nil {
			return err
		}
	}
	return nil
}
