package workshop

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// A Past is the results of earlier pieces in a log that bear on a plan.
type Past struct {
	Coats  []logbook.PastCoat `json:"coats,omitempty"`
	Chips  []logbook.PastChip `json:"chips,omitempty"`
	Bias   learn.Bias         `json:"habit"`
	Pieces int                `json:"pieces,omitempty"` // that Bias was found from
}

// An Earlier sums up the results of earlier pieces with one coating.
type Earlier struct {
	Coating   string
	Pieces    []string // the most informative first
	Results   int      // test coats and coats on pieces that count
	Alike     int      // of them on wood like an area of this piece
	SameBatch int      // of them of the batch that is to be used
	Chip      bool     // the coating's own colour comes from there
}

// mostEarlier is how many results of one coating count: further ones would say the same again, and each takes
// time.
const mostEarlier = 8

// likeWood is the greatest ΔE00 between grounds that are like wood: differences beyond are large
// (common practice, no source).
const likeWood = 6.0

// A pastGround is what an area of the piece is now, to hold grounds of earlier pieces against.
type pastGround struct {
	lab     colour.Lab
	surface string
}

// coatingPast is the evidence of earlier pieces about a coating.
type coatingPast struct {
	Earlier
	tests []learn.TestCoat
	chip  *learn.Measured // nil where the piece has its own, or none is known
}

// about gathers the evidence of earlier pieces about a coating, beside what the piece itself has: weak evidence,
// that of the same batch and on like wood first. It returns a fault for a coating of
// which neither knows anything.
func (p *Past) about(coating *piece.Coating, areas []pastGround, known *learn.Evidence) (coatingPast, error) {
	t := coatingPast{Earlier: Earlier{Coating: coating.Name}}
	for _, c := range p.of(coating, areas) {
		t.take(c, areas)
		t.tests = append(t.tests, c.evidence(coating))
	}
	if known.Chip == nil {
		i := slices.IndexFunc(p.Chips, func(c logbook.PastChip) bool { return strings.EqualFold(c.Coating, coating.Name) })
		if i >= 0 {
			c := &p.Chips[i]
			t.chip, t.Chip = &learn.Measured{Lab: c.Lab, PlusMinus: math.Hypot(c.PlusMinus, otherChip), Photo: c.Photo, Earlier: true}, true
			t.from(c.Piece)
		}
		if t.chip == nil && len(known.Tests) == 0 && len(t.tests) == 0 {
			return t, fault.New(fault.Use, "piece.coating-not-in-log", "name", coating.Name)
		}
	}
	return t, nil
}

// otherChip is a 95 % radius, ΔE00, by which a coating's colour may differ from tin to tin. Our own
// choice.
const otherChip = 2.0

// A pastResult is a past coat, and how much it tells of a piece.
type pastResult struct {
	logbook.PastCoat
	sameBatch bool
	apart     float64 // ΔE00 of its ground to the nearest area
}

// of are the past results of a coating that count, the most informative first.
func (p *Past) of(coating *piece.Coating, areas []pastGround) []pastResult {
	var all []pastResult
	for _, c := range p.Coats {
		if !strings.EqualFold(c.Coating, coating.Name) {
			continue
		}
		r := pastResult{PastCoat: c, sameBatch: coating.Batch != "" && strings.EqualFold(c.Batch, coating.Batch), apart: math.Inf(1)}
		for _, a := range areas {
			r.apart = min(r.apart, colour.DeltaE2000(a.lab, c.Ground))
		}
		all = append(all, r)
	}
	slices.SortStableFunc(all, func(a, b pastResult) int {
		if a.sameBatch != b.sameBatch {
			return map[bool]int{true: -1, false: 1}[a.sameBatch]
		}
		return cmp.Compare(a.apart, b.apart)
	})
	return all[:min(len(all), mostEarlier)]
}

func (e *Earlier) take(c pastResult, areas []pastGround) {
	e.Results++
	if c.sameBatch {
		e.SameBatch++
	}
	for _, a := range areas {
		if colour.DeltaE2000(a.lab, c.Ground) <= likeWood && (a.surface == "" || c.Surface == "" || a.surface == c.Surface) {
			e.Alike++
			break
		}
	}
	e.from(c.Piece)
}

func (e *Earlier) from(p string) {
	if p != "" && !slices.Contains(e.Pieces, p) {
		e.Pieces = append(e.Pieces, p)
	}
}

// evidence is what a past coat tells of a coating.
func (c *pastResult) evidence(coating *piece.Coating) learn.TestCoat {
	from := learn.OfAnotherBatch
	if c.sameBatch {
		from = learn.OfSameBatch
	}
	return learn.TestCoat{
		Ground: learn.Measured{Lab: c.Ground, PlusMinus: c.GroundPlusMinus, Photo: c.Photo, Earlier: true},
		Result: learn.Measured{Lab: c.Result, PlusMinus: c.ResultPlusMinus, Photo: c.Photo, Earlier: true},
		Coats:  c.Coats, Share: c.Share / coating.Dilution.Share(), Surface: blend.Surface(c.Surface), OnPiece: c.OnPiece, From: from,
	}
}
