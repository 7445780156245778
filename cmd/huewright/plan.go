package main

import (
	"context"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type planFlags struct {
	json, strict bool
	full         *bool
	keep         keepFlags
}

func newPlan(stdout io.Writer) *cobra.Command {
	var flags planFlags
	cmd := &cobra.Command{
		Use:   "plan PIECE.toml",
		Short: "say how many coats each area of a piece needs",
		Long: `Plan measures the photos of a piece, learns its coatings from their chips and test coats,
and says for each area how many coats bring it nearest to its target, how many may be needed
(the range that holds 80 times in 100), how it will look after each, after which coat to stop
and look, how much of its grain is kept, and what stands in the way where the target cannot
be reached. Where half of the grain would go, a balanced count is put forward that keeps it.

Without any target the areas are brought to meet one another: counts for each that make the
two that differ most differ least. Beside that stand what could be mixed from the shelf, and
the test coat that would narrow the counts most.

Coats are counted, not poured: do the test coat, stop one early, and look. Follow the label
and your local rules on solvents, dust, lead in old finishes, and rags.

With --piece NAME the plan is kept in the log, and what the log knows of earlier pieces helps: past
results of the same coatings are weak evidence, and how your coats came out beside what was
foreseen is allowed for. A coating that only the log knows has earlier = true in the piece file.

A piece file looks like this:

` + pieceExample,
		Example: "  huewright plan cabinet.toml\n  huewright plan cabinet.toml --json",
		Args:    shell.Exactly(1, "one: the piece file", "cabinet.toml"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd, stdout, args[0], &flags)
		},
	}
	flags.full = shell.FullFlag(cmd)
	cmd.Flags().BoolVar(&flags.json, "json", false, "write JSON")
	cmd.Flags().BoolVar(&flags.strict, "strict", false, "exit with 4 when the figures are relative only")
	flags.keep.register(cmd, "the plan, its photos, readings and coats")
	return cmd
}

func runPlan(cmd *cobra.Command, stdout io.Writer, path string, flags *planFlags) error {
	ctx := cmd.Context()
	sink, err := flags.keep.open(cmd, stdout, flags.json)
	if err != nil {
		return err
	}
	defer sink.close()
	p, err := workshop.ReadPiece(shell.Disk(ctx, ""), path)
	if err != nil {
		return err
	}
	files, req := shell.Disk(ctx, filepath.Dir(path)), workshop.PlanRequest{Piece: *p}
	if sink.log != nil {
		if req.Past, err = record.Recall(ctx, sink.log, p, flags.keep.piece); err != nil {
			return err
		}
	}
	result, err := workshop.Plan(ctx, files, req)
	if err != nil {
		return err
	}
	keep := func(k *record.Keeper, json []byte) (record.Kept, error) { return k.KeepPlan(ctx, req, result, json) }
	if err := answer(sink, files, result, shell.Style(stdout, *flags.full).PlanText, report.PlanJSON, keep); err != nil {
		return err
	}
	return settle(flags.strict, result.Relative)
}

// planned reads a piece file, lets change change the piece, and plans it; the photos stay open.
func planned(
	ctx context.Context, path string, change func(*piece.Piece) error,
) (photos *workshop.Photos, result *workshop.PlanResult, err error) {
	p, err := workshop.ReadPiece(shell.Disk(ctx, ""), path)
	if err != nil {
		return nil, nil, err
	}
	if err = change(p); err != nil {
		return nil, nil, err
	}
	if photos, err = workshop.OpenPhotos(ctx, shell.Disk(ctx, filepath.Dir(path)), p); err != nil {
		return nil, nil, err
	}
	result, err = workshop.PlanFrom(ctx, photos, nil)
	return photos, result, err
}

// pieceExample is a whole piece file; a test reads it.
const pieceExample = `    name = "hall bench"
    tolerance   = 2.0                 # ΔE00 that counts as reached
    least_grain = 0.5                 # share of the grain's contrast to keep
    units       = "metric"            # or us
    spare       = 0.15                # share of each batch that is left over for touch-ups
    year_made   = 1930                # of the piece, about: for the cautions
    old_finish  = false               # whether any of it is still on

    [target]                          # without any target, the areas are to meet one another
    # or lab = [44, 14, 20], hex = "#7a5a40", area = "seat"
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
    # all of it, for previews, where outline is only a good part to measure:
    # shown = ["310,220,180,640", "900,220,60,640"]
    # seen in a further photo too: also = { side = "120,300,90,400" }
    # after a coat, photograph it again, and the rest is planned anew:
    # [[area.laid]]
    # coating = "brown wash"
    # coats   = 1
    # after   = { photo = "later", outline = "310,220,180,640" }

    [[coating]]
    name     = "brown wash"
    kind     = "wash"                 # wash, glaze, toner, stain, dye, paint
    put_on   = "brushed"              # brushed, sprayed, or wiped off again: then each coat leaves less
    family   = "water"                # thinned with water, oil, alcohol, lacquer: what may lie over what
    batch    = "March tin"            # what tells this tin or mix from others: for the log
    recoat_after = 3                  # hours, from the label; and recoat_before, not_below, not_above (°C), not_damper (%)
    spread   = 9                      # m² that a litre covers in one coat, from the label
    chip     = { hex = "#5a4030" }    # its colour where nothing shows through
    dilution = { paint = 1, water = 4 }

    [[coating.test]]                  # as many as there are
    coats  = 1
    ground = { area = "frame" }
    result = { photo = "front", outline = "520,700,120,90" }

    [[repair]]                        # for huewright check
    name    = "filled corner"
    outline = "1290,985,26,110"

    [room]                            # for the timetable and its cautions
    start       = "2026-03-14T09:00"
    temperature = 19                  # °C, or °F with units = "us"
    humidity    = 55
    opens       = "08:00"             # when you work
    closes      = "20:00"
    indoors     = true
    children    = false               # or pregnant people about

    [clear]                           # where a clear coat comes over all: colours as then seen
    name   = "water-borne clear"
    family = "water"
    coats  = 2
    [[clear.test]]                    # a spot dry, and wetted with spirits or clear-coated
    before = { area = "frame" }
    after  = { photo = "front", outline = "330,880,60,60" }
`
