package main

import (
	"context"
	"errors"
	"image"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

type previewFlags struct {
	out            string
	coats          coatsFlag
	width          int
	bare, json     bool
	feather        float64
	overwrite, png bool
}

func newPreview(stdout io.Writer) *cobra.Command {
	var flags previewFlags
	cmd := &cobra.Command{
		Use:   "preview PIECE.toml --out FOLDER",
		Short: "show your photos as they will look after the coats",
		Long: `Preview shows your photos as the piece will look after its planned coats. The grain stays as clear as the coats leave
it.

For each photo preview writes five pictures: before, after, and both side by side; after by a warm lamp, and both lights
side by side. For each area it writes a strip with no coat, one coat, two coats and so on.

How colours change by lamp is a guess from three numbers. The lamp's own tint is left out, as your eye leaves it out.

If the piece file has a clear coat, the pictures show it. A screen is a guide, not a proof.`,
		Example: `huewright preview cabinet.toml --out pictures
huewright preview cabinet.toml --coats "frame=2 panel=0" --out others`,
		Args: shell.Exactly(1, "one: the piece file", "cabinet.toml --out pictures"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPreview(cmd.Context(), stdout, args[0], &flags)
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.out, "out", "", "Write the pictures to this `FOLDER`. A new one is made if need be.")
	flags.coats.register(cmd, "Show these coats, not the plan's")
	f.IntVar(&flags.width, "width", 0, "The longer side of a picture, in `PIXELS`; -1 is full size. Default: 1600.")
	f.BoolVar(&flags.bare, "without-clear", false, "Leave the clear coat out of the pictures.")
	f.Float64Var(&flags.feather, "feather", 0, "Soften the edges of areas over so many `PIXELS`. "+
		"Default: the longer side divided by 600.")
	f.BoolVar(&flags.png, "png", false, "Write PNG instead of JPEG.")
	f.BoolVar(&flags.overwrite, "overwrite", false, "Write over the pictures of an earlier preview.")
	f.BoolVar(&flags.json, "json", false, "Write JSON, for other programs.")
	return cmd
}

func runPreview(ctx context.Context, stdout io.Writer, path string, flags *previewFlags) error {
	if flags.out == "" {
		return shell.Like(fault.New(fault.Use, "use.no-folder"), "--out pictures")
	}
	if flags.width < -1 || flags.width > 20000 {
		return fault.New(fault.Use, "use.width", "value", flags.width)
	}
	if flags.feather < 0 || flags.feather > 200 {
		return fault.New(fault.Use, "use.feather", "value", flags.feather)
	}
	photos, result, err := planned(ctx, path, flags.coats, func(*piece.Piece) error { return nil })
	if err != nil {
		return err
	}
	if err := os.MkdirAll(flags.out, 0o755); err != nil {
		return fault.New(fault.Use, "use.folder", "folder", flags.out, "cause", shell.Cause(err)).Because(err)
	}
	files, err := flags.write(ctx, photos, result)
	if err != nil {
		return err
	}
	return shell.PrintResult(stdout, flags.json, report.Preview{Plan: result, Files: files}, shell.Style(stdout, false).PreviewText,
		report.PreviewJSON)
}

func (f *previewFlags) write(
	ctx context.Context, photos *workshop.Photos, result *workshop.PlanResult,
) (files []report.PreviewFile, err error) {
	p := workshop.NewPreview(photos, result, workshop.PreviewOptions{Width: f.width, Clear: !f.bare, Feather: f.feather})
	for _, photo := range p.Photos() {
		after, shown, err := p.After(ctx, photo)
		if err != nil {
			return nil, err
		}
		before, err := p.Before(ctx, photo)
		if err != nil {
			return nil, err
		}
		lamp, byLamp, err := p.AfterByLamp(ctx, photo)
		if err != nil {
			return nil, err
		}
		for _, one := range []struct {
			what    string
			picture image.Image
			shown   []workshop.Shown
		}{
			{"before", before, shown}, {"after", after, shown}, {"pair", picture.Pair(before, after), shown},
			{"lamp", lamp, byLamp}, {"lights", picture.Lights(after, lamp), shown},
		} {
			file := report.PreviewFile{Photo: photo, What: one.what, Shown: one.shown}
			if err := f.save(ctx, &file, photo+"-"+one.what, one.picture); err != nil {
				return nil, err
			}
			files = append(files, file)
		}
	}
	for i := range result.Areas {
		a := &result.Areas[i]
		if a.Area.Typed() != nil {
			continue // no photo shows it
		}
		pictures, shown, err := p.Strip(ctx, a.Area.Name)
		if err != nil {
			return nil, err
		}
		file := report.PreviewFile{Area: a.Area.Name, What: "strip", Shown: shown}
		if err := f.save(ctx, &file, a.Area.Name+"-strip", picture.Strip(pictures, shown, a.Planned())); err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	return files, nil
}

// save writes a picture into the folder, under a name that any system takes.
func (f *previewFlags) save(ctx context.Context, file *report.PreviewFile, name string, img image.Image) error {
	ending := ".jpg"
	if f.png {
		ending = ".png"
	}
	file.Path = filepath.Join(f.out, fileName(name)+ending)
	file.Width, file.Height = img.Bounds().Dx(), img.Bounds().Dy()
	if _, err := os.Lstat(file.Path); !errors.Is(err, os.ErrNotExist) && !f.overwrite {
		return fault.New(fault.Use, "use.picture-there", "file", file.Path)
	}
	return writePicture(ctx, file.Path, img)
}

// fileName is a name made of letters, digits, and - only.
func fileName(name string) string {
	clean := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' {
			return r
		}
		return '-'
	}, strings.TrimSpace(name))
	if clean = strings.Trim(clean, "-"); clean == "" {
		return "picture"
	}
	return clean
}
