package learn

import (
	"huewright/blend"
	"huewright/colour"
)

// A Dataset is all that was measured of a piece and of the coatings for it.
type Dataset struct {
	Shelf []ShelfCoating
	// Colours are what plans start from and aim at: grounds, their lightest and darkest quarters,
	// targets. Equal ones are one reading of one spot.
	Colours []Measured
	Clear   ClearEvidence
	Bias    Bias // of whoever lays the coats
	// Shared returns the covariance, in L*, a*, b*, of the errors that two readings have because of
	// their photos. Only Lab and Photo of the two count; it is called for readings with a Photo
	// alone, and for others as the photo that coatings are learned in would have shown them. Nil: how
	// photos agree is not known, and readings of one photo share what is not their own.
	Shared func(a, b Measured) [3][3]float64
}

// A ShelfCoating is a coating on the shelf and the evidence on it.
type ShelfCoating struct {
	Name     string
	Kind     blend.Kind
	Family   blend.Family // "" is not known
	PutOn    blend.PutOn  // "" means brushed
	Share    float64      // of the paint, by volume, in the mix to be planned, up to 1 for undiluted paint; 0 is not known
	Evidence Evidence
	// Parts are what it was stirred together of; nil for what comes out of a tin. Its evidence then tells of their strengths too.
	Parts   []MixedPart
	Weighed bool // Parts are by weight, else by volume
}

// A MixedPart is some parts of a coating of the shelf, as it comes out of its tin, in a mix.
type MixedPart struct {
	Coating string  // by name; itself no mix
	Parts   float64 // more than 0
}

// Evidence is what was measured of a coating.
type Evidence struct {
	Chip  *Measured // the coating so thick that nothing shows through; nil when there is none
	Tests []TestCoat
}

// A TestCoat is a number of coats laid on a ground of known colour.
type TestCoat struct {
	Ground, Result Measured
	Coats          float64       // more than 0
	Share          float64       // strength of the mix over that of the mix to be planned; 0 means 1, the same
	Surface        blend.Surface // of the ground; "" means sealed
	Even           bool          // laid to a known thickness, as with a drawdown bar, and not by hand
	// OnPiece says that the coats lie on the piece itself and not on a test board, so that they are
	// evidence for its board-to-piece factor too.
	OnPiece bool
	// Board names the test board, whose coats were laid in one go and share how thick they came out. "" is a board too: the
	// one that all tests lie on which name none.
	Board string
	// Strip names the strip that the test is a step of: one area, coated further and further along, so that steps share
	// their first coats. "" is none.
	Strip string
	// Wood names the wood of a ground that absorbs: how much that wood takes up, and how far it is wetted, is learned beside what
	// other woods do. "" is no wood in particular.
	Wood string
	From Provenance
}

// thickness returns the test's film in coats of the mix to be planned.
func (t *TestCoat) thickness() float64 {
	if t.Share == 0 {
		return t.Coats
	}
	return t.Coats * t.Share
}

// A Provenance says where the coats of a test come from.
type Provenance string

// Where coats may come from.
const (
	OfThisPiece    Provenance = ""              // or a test board for it, from the tin to be used
	OfSameBatch    Provenance = "same batch"    // on an earlier piece, from the tin or mix to be used
	OfAnotherBatch Provenance = "another batch" // on an earlier piece, and not of that batch, or not known to be
)

// Measured is a measured colour with its uncertainty.
type Measured struct {
	// Key identifies the reading: measured colours of one key are one reading and must be equal.
	// Where it is "", all other fields together identify it.
	Key       string
	Lab       colour.Lab
	PlusMinus float64 // 95 % radius in ΔE00; 0 means a good reading: a standard deviation of 0.5 in each of L*, a*, b*
	// Photo names the photo it was read from; "" is none. Readings of one photo share most of their
	// error, so that their differences are surer than each by itself.
	Photo string
	// Own is the part of PlusMinus that is independent of all other readings, where that is known: a
	// 95 % radius. 0 means a tenth of PlusMinus for a reading with a Photo, all of it for others.
	Own float64
	// Earlier says that it was read on another piece. Its photo shares no error with those of this
	// piece, whatever Shared says.
	Earlier bool
}

// ClearEvidence is what is known of the clear coat to come.
type ClearEvidence struct {
	Spots []ClearSpot
}

// A ClearSpot is a spot measured dry, and again under the clear coat or wetted with spirits.
type ClearSpot struct{ Before, After Measured }

// A Bias is an operator bias: how coats came out on earlier pieces beside what was predicted of them.
// The zero value is that of somebody nothing is known of.
type Bias struct {
	// Film is the mean, over pieces, of the natural logarithm of the film that coats left over the
	// predicted film: above 0 for a heavy hand.
	Film float64 `json:"film,omitempty"`
	// Wider is the factor on standard deviations that makes ranges hold as often as they say; 0 and
	// less than 1 mean 1.
	Wider float64 `json:"wider,omitempty"`
}

func (b Bias) widening() float64 { return max(1, b.Wider) }

// evidence returns the readings that coatings are learned from.
func (d *Dataset) evidence() (all []Measured) {
	for i := range d.Shelf {
		e := &d.Shelf[i].Evidence
		if e.Chip != nil {
			all = append(all, *e.Chip)
		}
		for _, t := range e.Tests {
			all = append(all, t.Ground, t.Result)
		}
	}
	return all
}

// others returns the remaining readings: of clear coats and of the piece.
func (d *Dataset) others() (all []Measured) {
	for _, c := range d.Clear.Spots {
		all = append(all, c.Before, c.After)
	}
	return append(all, d.Colours...)
}
