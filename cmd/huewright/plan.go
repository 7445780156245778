package main

import (
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"huewright/internal/report"
	"huewright/internal/workshop"
)

type planFlags struct {
	json, strict bool
}

func newPlan(stdout io.Writer) *cobra.Command {
	var flags planFlags
	cmd := &cobra.Command{
		Use:   "plan PIECE.toml",
		Short: "say how many coats each area of a piece needs",
		Long: `Plan measures the photos of a piece, learns its coatings from their chips and test coats,
and says for each area which coating and how many coats bring it nearest to the target,
how it will look after each, and what stands in the way where it cannot be reached.

A piece file looks like this:

` + pieceExample + exitCodesHelp,
		Example: "  huewright plan cabinet.toml\n  huewright plan cabinet.toml --json",
		Args:    oneArg("the piece file", "cabinet.toml"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(stdout, args[0], &flags)
		},
	}
	cmd.Flags().BoolVar(&flags.json, "json", false, "write JSON")
	cmd.Flags().BoolVar(&flags.strict, "strict", false, "exit with 4 when the figures are relative only")
	return cmd
}

func runPlan(stdout io.Writer, path string, flags *planFlags) error {
	piece, err := workshop.ReadPiece(workshop.Disk{}, path)
	if err != nil {
		return err
	}
	result, err := workshop.Plan(workshop.Disk{Dir: filepath.Dir(path)}, workshop.PlanRequest{Piece: *piece})
	if err != nil {
		return err
	}
	write := report.PlanText
	if flags.json {
		write = report.PlanJSON
	}
	if err := write(stdout, result); err != nil {
		return err
	}
	if flags.strict && result.Relative {
		return errRelative
	}
	return nil
}

// pieceExample is a whole piece file; a test reads it.
const pieceExample = `    name = "hall bench"

    [target]                          # or lab = [44, 14, 20], hex = "#7a5a40", area = "seat"
    photo   = "front"
    outline = "900,300,200,150"

    [[photo]]
    name    = "front"
    file    = "front.jpg"             # relative to this file
    corners = "1210,340 1490,352 1478,540 1202,528"
    # or, without a chart: grey = "x,y,w,h" and grey_lightness = 94
    neutral = ["860,250,40,50", "320,900,40,50", "870,820,40,50"]  # slips of one paper, against uneven light
    # or a photo of a blank sheet in the same light: flat = "sheet.jpg"
    scale   = { from = "310,880", to = "870,880", mm = 560 }       # or chart_width = 250; sizes follow

    # With several photos, what stays as it is in them, whatever its colour: a slip of paper,
    # a spot of wood left untouched. They are then corrected to agree about it.
    # [[tie]]
    # name = "slip"
    # in   = { front = "40,60,80,50", bench = "900,80,70,60" }

    [[area]]
    name    = "frame"
    outline = "310,220,180,640"       # "x,y,w,h" or "x,y x,y x,y …"
    wood    = "ash"
    surface = "sealed"                # bare, sealed, clear-coated, non-absorbing, porous
    size_m2 = 0.6
    # seen in a further photo too: also = { side = "120,300,90,400" }

    [[coating]]
    name     = "brown wash"
    kind     = "wash"                 # wash, glaze, toner, stain, dye
    chip     = { hex = "#5a4030" }    # its colour where nothing shows through
    dilution = { paint = 1, water = 4 }

    [[coating.test]]                  # as many as there are
    coats  = 1
    ground = { area = "frame" }
    result = { photo = "front", outline = "520,700,120,90" }
`
