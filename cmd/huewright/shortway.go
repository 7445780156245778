package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"huewright/cmd/huewright/internal/complete"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// shortFlags say by flags what a piece file says of a piece: its photos and areas as measure takes them, its coatings by chip
// and thinning, and its target.
type shortFlags struct {
	measureFlags
	chips, thinned, kinds []string
	target                string
	candidates            string
}

// shortOnly are the flags that a piece file takes the place of.
const shortOnly = "area tap tie chip thinned kind target reference corners chart-at chart-edition chart-values grey grey-lightness " +
	"neutral " +
	"neutral-lightness flat chart-width length"

func (f *shortFlags) register(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.SortFlags = false
	f.registerAreas(cmd)
	flags.StringArrayVar(&f.chips, "chip", nil, "The `COLOUR` of a coating where nothing shows through: \"#7a5a40\", "+
		"\"44,14,20\" or an outline. For more coatings repeat it as \"NAME=COLOUR\".")
	flags.StringArrayVar(&f.thinned, "thinned", nil, "The `MIX` by volume, \"1:4\" or \"1 paint, 4 water\". "+
		"For one coating only, \"NAME=MIX\".")
	flags.StringArrayVar(&f.kinds, "kind", nil, "The `KIND` of the coatings: wash, glaze, toner, stain, dye or paint. For one coating only, "+
		"\"NAME=KIND\". Default: wash.")
	flags.StringVar(&f.target, "target", "", "The `COLOUR` to reach: the name of an area, \"#7a5a40\", \"44,14,20\" or an outline. "+
		"Default: the areas meet each other.")
	flags.StringVar(&f.candidates, "candidates", "", "A `FILE` of colours that you might buy, \"burnt brown,#6a3b22\" on each line.")
	f.registerTies(cmd)
	f.registerReference(cmd, "each area, a tab, its coats")
}

// given is the first of the flags that a piece file takes the place of, where one was given; else "".
func (f *shortFlags) given(cmd *cobra.Command) (first string) {
	cmd.Flags().Visit(func(flag *pflag.Flag) {
		if first == "" && slices.Contains(strings.Fields(shortOnly), flag.Name) {
			first = "--" + flag.Name
		}
	})
	return first
}

// piece is the piece that photos and flags tell of, checked.
func (f *shortFlags) piece(photos []string, limits piece.Limits) (*piece.Piece, error) {
	asked, err := f.asked(photos)
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(asked.Photos, func(p workshop.MeasureRequest) bool { return len(p.Areas) > 0 }) {
		return nil, shell.Like(fault.New(fault.Use, "piece.no-areas"), `--area "frame=120,300,400,250" --area "panel=700,300,250,400"`)
	}
	p := workshop.BeginPiece(cmp.Or(f.keep.piece, piece.PhotoName(photos[0])), asked)
	if err := f.coatings(p); err != nil {
		return nil, err
	}
	if f.target != "" {
		p.Target = &piece.ColourSource{Area: f.target}
		if !slices.ContainsFunc(p.Areas, func(a piece.Area) bool { return a.Name == f.target }) {
			if *p.Target, err = piece.ParseSource(f.target); err != nil {
				return nil, shell.InFlag("--target", `--target "#7a5a40", or the name of an area`, err)
			}
		}
	}
	return p, p.ValidateWithin(limits)
}

// coatings adds the coatings that the flags tell of.
func (f *shortFlags) coatings(p *piece.Piece) error {
	if len(f.chips) == 0 {
		return shell.Like(fault.New(fault.Use, "use.no-chip"), `--chip "#7a5a40" --thinned 1:4`)
	}
	for _, text := range f.chips {
		name, photo, source := named(text)
		chip, err := piece.ParseSource(source)
		if err != nil {
			return shell.InFlag("--chip", `--chip "#7a5a40", or --chip "brown wash=#7a5a40"`, err)
		}
		if chip.Outline != "" {
			chip.Photo = photo
		}
		p.Coatings = append(p.Coatings, piece.Coating{Name: name, Chip: &chip, Kind: "wash"})
	}
	for _, text := range f.kinds {
		if err := f.each(p, "--kind", text, func(k *piece.Coating, kind string) { k.Kind = kind }); err != nil {
			return err
		}
	}
	for _, text := range f.thinned {
		_, _, mix := named(text)
		d, err := piece.ParseDilution(mix)
		if err != nil {
			return shell.InFlag("--thinned", `--thinned 1:4, or --thinned "brown wash=1:4"`, err)
		}
		if err := f.each(p, "--thinned", text, func(k *piece.Coating, _ string) { k.Dilution = &d }); err != nil {
			return err
		}
	}
	for i := range p.Coatings {
		if k := &p.Coatings[i]; k.Name == "" {
			k.Name = unused(k.Kind, p)
		}
	}
	return nil
}

// unused is a name that no coating of the piece has: the kind, or the kind and a number.
func unused(kind string, p *piece.Piece) string {
	name := kind
	for n := 2; p.CoatingNamed(name) != nil; n++ {
		name = fmt.Sprint(kind, " ", n)
	}
	return name
}

// named splits "NAME=VALUE", "NAME@PHOTO=VALUE" or "VALUE".
func named(text string) (name, photo, value string) {
	name, value, found := strings.Cut(text, "=")
	if !found {
		return "", "", strings.TrimSpace(text)
	}
	name, photo, _ = strings.Cut(name, "@")
	return strings.TrimSpace(name), strings.TrimSpace(photo), strings.TrimSpace(value)
}

// each does something to the coating that a flag names, or to all where it names none.
func (f *shortFlags) each(p *piece.Piece, flag, text string, do func(k *piece.Coating, value string)) error {
	name, _, value := named(text)
	if name != "" && p.CoatingNamed(name) == nil {
		var names []string
		for i := range p.Coatings {
			if p.Coatings[i].Name != "" {
				names = append(names, p.Coatings[i].Name)
			}
		}
		return fault.In(piece.Unknown("piece.no-coating", name, names), fault.Place{Area: flag})
	}
	for i := range p.Coatings {
		if k := &p.Coatings[i]; name == "" || k.Name == name {
			do(k, value)
		}
	}
	return nil
}

// isPhoto reports whether a file is a photo by the ending of its name.
func isPhoto(file string) bool {
	return slices.Contains(complete.PhotoEndings, strings.TrimPrefix(strings.ToLower(filepath.Ext(file)), "."))
}
