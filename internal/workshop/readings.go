package workshop

import (
	"context"
	"fmt"
	"slices"

	"huewright/blend"
	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A ReadKey says what a colour was read of. No two readings of a piece have one key.
type ReadKey struct {
	Of      string // one of ReadArea …
	Area    string // that it is of or was laid on; "" for none
	Coating string // of a chip or a test coat
	Nr      int    // from 1: of the test coat, of the coats laid on the area, of the spot under the clear coat; else 0
}

// What can be read.
const (
	ReadArea   = "area"
	readTarget = "target"
	ReadChip   = "chip"
	readGround = "ground"
	readResult = "result"
	ReadBefore = "before clear" // a spot that tells of the clear coat to come
	ReadUnder  = "under clear"
)

// A Read is one colour that a plan stands on, and what it was read of.
type Read struct {
	ReadKey
	Spot
	Name    string // what a person calls it: "test coat 1 of brown wash"
	Surface string
	Coats   []plan.CoatCount // that the area then had, the undermost first
}

// readings are all colours that were read for a plan.
type readings struct {
	all      []Read
	warnings []fault.Note
}

// of is the reading of a key; nil where there is none.
func (r *readings) of(key ReadKey) *Read {
	for i := range r.all {
		if r.all[i].ReadKey == key {
			return &r.all[i]
		}
	}
	return nil
}

// take adds a colour that is to be read, unless it has been.
func (r *readings) take(ctx context.Context, photos *Photos, as Read, from piece.ColourSource) error {
	if r.of(as.ReadKey) != nil {
		return nil
	}
	spot, warnings, err := readSource(ctx, photos, as.Name, from)
	if err != nil {
		return err
	}
	as.Spot = spot
	r.all, r.warnings = append(r.all, as), append(r.warnings, warnings...)
	return nil
}

// readPiece reads all colours that a plan of the piece stands on.
func readPiece(ctx context.Context, photos *Photos) (*readings, error) {
	p := photos.piece
	r, err := readShelf(ctx, photos)
	if err != nil {
		return nil, err
	}
	if p.Clear != nil {
		for i, t := range p.Clear.Tests {
			name := fmt.Sprintf("spot %d under the clear coat", i+1)
			if err := r.take(ctx, photos, Read{ReadKey: ReadKey{Of: ReadBefore, Nr: i + 1}, Name: "ground of " + name}, t.Before); err != nil {
				return nil, err
			}
			if err := r.take(ctx, photos, Read{ReadKey: ReadKey{Of: ReadUnder, Nr: i + 1}, Name: name}, t.After); err != nil {
				return nil, err
			}
		}
		if len(p.Clear.Tests) == 0 {
			r.warnings = append(r.warnings, fault.Say("reading.clear-unknown"))
		}
	}
	for i := range p.Areas {
		if err := r.takeArea(ctx, photos, &p.Areas[i]); err != nil {
			return nil, err
		}
	}
	return r, r.dry(ctx, photos)
}

// readShelf reads what is known of each coating of the piece.
func readShelf(ctx context.Context, photos *Photos) (*readings, error) {
	r := &readings{}
	for _, k := range photos.piece.Coatings {
		if k.Chip != nil {
			if err := r.take(ctx, photos, Read{ReadKey: chipKey(&k), Name: "chip of " + k.Name}, *k.Chip); err != nil {
				return nil, err
			}
		}
		for i, t := range k.Tests {
			name, surface := TestCoatName(&k, i), surfaceOf(photos.piece, t.Ground)
			ground, result := TestCoatKeys(&k, i)
			if err := r.take(ctx, photos, Read{ReadKey: ground, Name: "ground of " + name, Surface: surface}, t.Ground); err != nil {
				return nil, err
			}
			if err := r.take(ctx, photos, Read{ReadKey: result, Name: name, Surface: surface}, t.Result); err != nil {
				return nil, err
			}
		}
	}
	return r, nil
}

func chipKey(k *piece.Coating) ReadKey { return ReadKey{Of: ReadChip, Coating: k.Name} }

func TestCoatName(k *piece.Coating, i int) string {
	return fmt.Sprintf("test coat %d of %s", i+1, k.Name)
}

func TestCoatKeys(k *piece.Coating, i int) (ground, result ReadKey) {
	key := ReadKey{Area: k.Tests[i].Ground.Area, Coating: k.Name, Nr: i + 1}
	ground, result = key, key
	ground.Of, result.Of = readGround, readResult
	return ground, result
}

// takeArea reads an area as it was bare, after each of the coats it has had, and its target.
func (r *readings) takeArea(ctx context.Context, photos *Photos, area *piece.Area) error {
	p := photos.piece
	spot, warnings, err := readArea(ctx, photos, area)
	if err != nil {
		return err
	}
	r.all = append(r.all, Read{ReadKey: AreaKey(area, 0), Spot: spot, Name: area.Name, Surface: area.Surface})
	r.warnings = append(r.warnings, warnings...)
	for i, l := range area.Laid {
		name := fmt.Sprintf("%s after %s of %s", area.Name, plan.CoatWords(l.Coats), l.Coating)
		if err := r.take(ctx, photos, Read{ReadKey: AreaKey(area, i+1), Name: name, Coats: coatsOf(area.Laid[:i+1])}, l.After); err != nil {
			return err
		}
	}
	key, source := targetOf(p, area)
	if source == nil {
		return nil
	}
	name := "target"
	if key.Area != "" {
		name = "target of " + area.Name
	}
	surface := surfaceOf(p, *source)
	if source.State == piece.ClearCoated {
		surface = string(blend.ClearCoated)
	}
	if r.of(key) == nil {
		if spot, warnings, err = readSource(ctx, photos, "target", *source); err != nil {
			return err
		}
		r.all = append(r.all, Read{ReadKey: key, Spot: spot, Name: name, Surface: surface})
		r.warnings = append(r.warnings, warnings...)
	}
	for _, w := range []fault.Note{unlikeStates(p, area, surface), unsupported(photos, r.of(AreaKey(area, 0)), r.of(key))} {
		if !w.Empty() {
			r.warnings = append(r.warnings, w)
		}
	}
	return nil
}

// unsupported warns where one of a wood and its target comes from no photo and the other from one whose colours are relative: how far
// they are apart is then known no better than the photo's own colours.
func unsupported(photos *Photos, wood, target *Read) fault.Note {
	inPhoto, other := wood.Measured, target.Measured
	if inPhoto.Photo == "" {
		inPhoto, other = other, inPhoto
	}
	if inPhoto.Photo == "" || other.Photo != "" {
		return fault.Note{}
	}
	s, err := photos.named(inPhoto.Photo)
	if err != nil || !s.calibration.Relative {
		return fault.Note{}
	}
	return fault.Say("reading.photo-without-reference", "photo", s.name, "plus-minus", s.correction.PlusMinus(target.Measured.Lab))
}

func AreaKey(area *piece.Area, laid int) ReadKey {
	return ReadKey{Of: ReadArea, Area: area.Name, Nr: laid}
}

// targetOf is where an area's target comes from; nil where it is to meet the others.
func targetOf(p *piece.Piece, area *piece.Area) (ReadKey, *piece.ColourSource) {
	if area.PartOf != "" {
		return ReadKey{}, nil // it is brought to its wood
	}
	if area.Target != nil {
		return ReadKey{Of: readTarget, Area: area.Name}, area.Target
	}
	return ReadKey{Of: readTarget}, p.Target
}

// coatsOf are coats as they lie over one another: those of one coating together.
func coatsOf(laid []piece.LaidCoats) (coats []plan.CoatCount) {
	for _, l := range laid {
		if last := len(coats) - 1; last >= 0 && coats[last].Coating == l.Coating {
			n := coats[last].Count + l.Coats
			coats[last].Count, coats[last].Range = n, [2]int{n, n}
		} else {
			coats = append(coats, plan.CoatCount{Coating: l.Coating, Count: l.Coats, Range: [2]int{l.Coats, l.Coats}})
		}
	}
	return coats
}

// surfaceOf is the state a colour was seen in, as far as the piece says.
func surfaceOf(p *piece.Piece, s piece.ColourSource) string {
	if s.Surface == "" && s.Area != "" {
		if i := slices.IndexFunc(p.Areas, func(a piece.Area) bool { return a.Name == s.Area }); i >= 0 {
			return p.Areas[i].Surface
		}
	}
	return s.Surface
}

// unlikeStates warns where a finished colour is held against one that is not, and no clear coat
// to come makes up for it.
func unlikeStates(p *piece.Piece, area *piece.Area, target string) fault.Note {
	const finished = string(blend.ClearCoated)
	if p.Clear != nil && area.Surface != finished {
		return fault.Note{}
	}
	if area.Surface == "" || target == "" || (area.Surface == finished) == (target == finished) {
		return fault.Note{}
	}
	return fault.Say("reading.other-state", "surface", area.Surface, "target", target).In(fault.Place{Area: area.Name})
}
