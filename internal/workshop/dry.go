package workshop

import (
	"context"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// dry takes readings of what was wet or clear-coated to their dry colours, and says so.
func (r *readings) dry(ctx context.Context, photos *Photos) error {
	var wet []learn.WetReading
	var to []*learn.Measured
	var told []*Read
	for i := range r.all {
		of := &r.all[i]
		if !of.toDry(photos.piece) {
			continue
		}
		told = append(told, of)
		on := blend.Surface(of.Surface)
		if of.Of == ReadChip {
			on = blend.Sealed
		}
		take := func(m *learn.Measured) {
			wet, to = append(wet, learn.WetReading{Measured: *m, On: on, Amber: of.State == piece.ClearCoated}), append(to, m)
		}
		take(&of.Measured)
		if of.Grain != nil {
			grain := *of.Grain // several readings may have it
			of.Grain = &grain
			take(&grain.Light)
			take(&grain.Dark)
		}
	}
	var clear learn.ClearEvidence
	if r.of(ReadKey{Of: ReadUnder, Nr: 1}) != nil {
		clear = clearOf(photos.piece, r)
	}
	dried, err := clear.Dry(ctx, wet, photos.shared())
	if err != nil {
		return err
	}
	for i, m := range dried {
		*to[i] = m
	}
	for _, of := range told {
		r.warnings = append(r.warnings, fault.Say("reading.taken-dry", "state", of.State, "unsure", of.Measured.PlusMinus).
			In(fault.Place{Area: of.Name}))
	}
	return nil
}

// toDry reports whether a reading is to be taken to the dry colour. A target that was read under a clear coat is what is to be
// seen, and so is a wet one where a clear coat comes over all.
func (of *Read) toDry(p *piece.Piece) bool {
	switch of.Of {
	case ReadBefore, ReadUnder:
		return false
	case readTarget:
		return of.State == piece.Wet && p.Clear == nil
	}
	return of.State == piece.Wet || of.State == piece.ClearCoated
}
