package piece

import (
	"slices"
	"strconv"

	"huewright/blend"
	"huewright/internal/fault"
)

// A Piece is what a piece file describes: the furniture, its photographs, the areas to be
// coloured, what they should come to, and the coatings at hand.
//
// File names in it are relative to the piece file. Outlines are "x,y,w,h" or "x,y x,y x,y …"
// in upright pixels of their photo.
type Piece struct {
	Name      string  `toml:"name" json:"name"`
	Tolerance float64 `toml:"tolerance" json:"tolerance,omitempty"` // ΔE00 that counts as reached; 0 means 2.0
	MaxCoats  int     `toml:"max_coats" json:"max_coats,omitempty"` // of one coating on one area; 0 means 12

	Target   *ColourSource `toml:"target" json:"target,omitempty"` // for areas that name none of their own
	Photos   []Photo       `toml:"photo" json:"photos"`
	Ties     []Tie         `toml:"tie" json:"ties,omitempty"`
	Areas    []Area        `toml:"area" json:"areas"`
	Coatings []Coating     `toml:"coating" json:"coatings"`
	Clear    *Clear        `toml:"clear" json:"clear,omitempty"`
	Repairs  []Repair      `toml:"repair" json:"repairs,omitempty"`

	// Layers is the finish in order, the undermost layer first. Empty: coatings and their order are looked for.
	Layers []Layer `toml:"layer" json:"layers,omitempty"`

	Prefer string  `toml:"prefer" json:"prefer,omitempty"` // one of preferences; "" means match
	Price  float64 `toml:"price" json:"price,omitempty"`   // ΔE00 that the first coat of an area must gain; 0 means 1
	// LeastGrain is an older way to say prefer = "grain": any share above 0 does.
	LeastGrain float64 `toml:"least_grain" json:"least_grain,omitempty"`

	// Candidates is the file of a list of coatings that might be bought, name and colour; "" is none.
	Candidates string `toml:"candidates" json:"candidates,omitempty"`

	Units string  `toml:"units" json:"units,omitempty"` // one of UnitSystems; "" means metric
	Spare float64 `toml:"spare" json:"spare,omitempty"` // share of each batch that is to be left over for touch-ups; 0 means 0.15

	Hours float64 `toml:"hours" json:"hours,omitempty"` // of work, as the client is told; 0 says nothing of them

	YearMade  int    `toml:"year_made" json:"year_made,omitempty"`   // of the piece; 0 is not known
	Country   string `toml:"country" json:"country,omitempty"`       // where it was made or finished, of schedule.Countries; "" is not known
	OldFinish *bool  `toml:"old_finish" json:"old_finish,omitempty"` // whether any of it is still on; nil is not known
	Room      *Room  `toml:"room" json:"room,omitempty"`
}

// A Room is where the piece is worked on, and when.
type Room struct {
	Temperature *float64 `toml:"temperature" json:"temperature,omitempty"` // °C, or °F where units are us; nil is not known
	Humidity    *float64 `toml:"humidity" json:"humidity,omitempty"`       // relative, per cent; nil is not known
	Start       string   `toml:"start" json:"start,omitempty"`             // of the first coat: "2026-03-14T09:00"; "" is now
	Opens       string   `toml:"opens" json:"opens,omitempty"`             // when work may begin each day; "" means 08:00
	Closes      string   `toml:"closes" json:"closes,omitempty"`           // and when it ends; "" means 20:00
	Indoors     *bool    `toml:"indoors" json:"indoors,omitempty"`
	Children    *bool    `toml:"children" json:"children,omitempty"` // or pregnant people are about
}

// A DryingLabel is what a tin says of drying; what it does not say is 0.
type DryingLabel struct {
	RecoatAfter  float64 `toml:"recoat_after" json:"recoat_after,omitempty"`   // hours before the next coat
	RecoatBefore float64 `toml:"recoat_before" json:"recoat_before,omitempty"` // hours after which it no longer bonds
	NotBelow     float64 `toml:"not_below" json:"not_below,omitempty"`         // °C, or °F where units are us
	NotAbove     float64 `toml:"not_above" json:"not_above,omitempty"`
	NotDamper    float64 `toml:"not_damper" json:"not_damper,omitempty"` // relative humidity, per cent
}

// preferences are what a plan may care for more: the match, or the grain.
var preferences = []string{"match", "grain"}

// PrefersGrain reports whether a plan that keeps the grain comes before one that matches better.
func (p *Piece) PrefersGrain() bool { return p.Prefer == "grain" || p.Prefer == "" && p.LeastGrain > 0 }

// Notes are what is to be known of how a piece is written: keys of older files, which are still read.
func (p *Piece) Notes() []fault.Note {
	if p.LeastGrain > 0 {
		return []fault.Note{fault.Say("piece.older-grain")}
	}
	return nil
}

// unitSystems are the systems of units that amounts are given in.
var unitSystems = []string{"metric", "us"}

// A Clear is the clear coat that the piece will be finished with. Colours are then compared as
// they will be seen under it. What it does to a wood is learned from spots that were wetted or
// clear-coated; without any, it is only roughly known.
type Clear struct {
	Name   string      `toml:"name" json:"name,omitempty"`     // for a person to read
	Family string      `toml:"family" json:"family,omitempty"` // one of blend.Families; "" is not known
	PutOn  string      `toml:"put_on" json:"put_on,omitempty"` // one of blend.PutOns; "" means brushed
	Coats  int         `toml:"coats" json:"coats,omitempty"`   // 0 means 2
	Tests  []ClearTest `toml:"test" json:"tests,omitempty"`
	DryingLabel
}

// A ClearTest is one spot before and under a clear coat, or dry and wetted.
type ClearTest struct {
	Before ColourSource `toml:"before" json:"before"`
	After  ColourSource `toml:"after" json:"after"`
}

// A Photo is one photograph and the reference in it.
type Photo struct {
	Name      string `toml:"name" json:"name"`
	File      string `toml:"file" json:"file"`
	Reference string `toml:"reference" json:"reference,omitempty"` // auto, chart, grey or none; "" means auto
	Corners   string `toml:"corners" json:"corners,omitempty"`     // of the chart, as in ParseCorners
	// ChartAt is a point on the chart that is meant, where several are in the photo
	ChartAt       string  `toml:"chart_at" json:"chart_at,omitempty"`
	Edition       string  `toml:"chart_edition" json:"chart_edition,omitempty"`   // of the chart's published values; "" means since 2014
	Grey          string  `toml:"grey" json:"grey,omitempty"`                     // outline of a grey card or a sheet of paper
	GreyLightness float64 `toml:"grey_lightness" json:"grey_lightness,omitempty"` // its L*; 0 means as it looks: 94 of paper, 50 of a card
	ChartValues   string  `toml:"chart_values" json:"chart_values,omitempty"`     // file of values measured on this very chart

	// Neutrals are slips of paper that tell of the light, as in ParseNeutral.
	Neutrals         []string `toml:"neutral" json:"neutral,omitempty"`
	NeutralLightness float64  `toml:"neutral_lightness" json:"neutral_lightness,omitempty"` // their L*; 0 means 94
	// NotSlips are points on what was taken for a printed slip and is none, "x,y".
	NotSlips []string `toml:"not_slip" json:"not_slip,omitempty"`
	// SlipCorners are printed slips that were found wrong or not at all: the outer corners of each one's dark frame, as in
	// ParseSlipCorners.
	SlipCorners []string `toml:"slip_corners" json:"slip_corners,omitempty"`
	// Flat is the file of a photo of a blank sheet or wall under the same light.
	Flat string `toml:"flat" json:"flat,omitempty"`

	ChartWidth float64 `toml:"chart_width" json:"chart_width,omitempty"` // mm, of the patch field along its rows of six; 0 means not known
	Scale      *Scale  `toml:"scale" json:"scale,omitempty"`
}

// A Scale is a known length in a photo.
type Scale struct {
	From string  `toml:"from" json:"from"` // "x,y"
	To   string  `toml:"to" json:"to"`
	MM   float64 `toml:"mm" json:"mm"`
}

// An Area is one part of the piece that is coloured as a whole.
type Area struct {
	Name    string `toml:"name" json:"name"`
	Photo   string `toml:"photo" json:"photo,omitempty"` // may be left out when there is only one
	Outline string `toml:"outline" json:"outline"`
	// Tap stands in place of an outline: places on the wood, as in region.ParseTaps. All of that wood is the area.
	Tap string `toml:"tap" json:"tap,omitempty"`
	// Lab, Hex and PlusMinus stand in place of an outline, as in ColourSource: of a colour meter.
	Lab       []float64 `toml:"lab" json:"lab,omitempty"`
	Hex       string    `toml:"hex" json:"hex,omitempty"`
	PlusMinus float64   `toml:"plus_minus" json:"plus_minus,omitempty"`

	State string `toml:"state" json:"state,omitempty"` // it was read in; one of States; "" is dry

	// PartOf names the area whose wood a filled or sanded-through spot belongs to, and with which it is coated; "" is an area of its own.
	PartOf  string        `toml:"part_of" json:"part_of,omitempty"`
	Wood    string        `toml:"wood" json:"wood,omitempty"`       // areas of one wood absorb alike
	Surface string        `toml:"surface" json:"surface,omitempty"` // one of Surfaces
	SizeM2  float64       `toml:"size_m2" json:"size_m2,omitempty"` // square metres to be coated
	Target  *ColourSource `toml:"target" json:"target,omitempty"`

	// Shown outlines all of the area, in its photo, for previews: Outline need only be a good part to
	// measure. Empty is Outline itself.
	Shown []string `toml:"shown" json:"shown,omitempty"`

	// Also outlines the area in further photos, by their names: all readings are averaged.
	Also map[string]string `toml:"also" json:"also,omitempty"`

	// Laid are the coats that the area has had so far, the first first. Outline shows the area before
	// any of them.
	Laid []LaidCoats `toml:"laid" json:"laid,omitempty"`
}

// LaidCoats are some coats that an area of the piece has had, and how it looked then, dry.
type LaidCoats struct {
	Coating string       `toml:"coating" json:"coating"`
	Coats   int          `toml:"coats" json:"coats"`
	After   ColourSource `toml:"after" json:"after"`
}

// A Repair is a filled or touched-up spot, to be judged against the wood round it.
type Repair struct {
	Name    string   `toml:"name" json:"name"`
	Photo   string   `toml:"photo" json:"photo,omitempty"` // may be left out when there is only one
	Outline string   `toml:"outline" json:"outline"`
	Wood    string   `toml:"wood" json:"wood,omitempty"`       // outline of the wood it is judged against; "" finds it
	Exclude []string `toml:"exclude" json:"exclude,omitempty"` // outlines of what is not to count
}

// A Tie is something that stays as it is from photo to photo, whatever its colour: a slip of
// paper, a spot of wood left untouched, a handle. In outlines it, by the names of the photos
// that show it; two at least.
type Tie struct {
	Name string            `toml:"name" json:"name"`
	In   map[string]string `toml:"in" json:"in"`
}

// Surfaces are the states a surface can be in before it is coloured.
var Surfaces = blend.Surfaces

// A Coating on the shelf: what it is, the colour it dries to where nothing shows through,
// and what test coats of it have come out as.
type Coating struct {
	Name    string `toml:"name" json:"name"`
	Kind    string `toml:"kind" json:"kind"`                 // one of blend.Kinds
	Family  string `toml:"family" json:"family,omitempty"`   // one of blend.Families: what it is thinned with; "" is not known
	PutOn   string `toml:"put_on" json:"put_on,omitempty"`   // one of blend.PutOns; "" means wiped for a stain, brushed for all else
	Batch   string `toml:"batch" json:"batch,omitempty"`     // what distinguishes this tin or mix from others of its name; "" is not known
	Earlier bool   `toml:"earlier" json:"earlier,omitempty"` // nothing is known of it but what a log has from earlier pieces
	// Spread is how many m² a litre of the mix covers in one coat, as the label says; 0 means what is usual
	Spread   float64       `toml:"spread" json:"spread,omitempty"`
	Chip     *ColourSource `toml:"chip" json:"chip,omitempty"`
	Dilution *Dilution     `toml:"dilution" json:"dilution,omitempty"` // as it will be used; none means as it comes
	// Parts are the coatings of the shelf that it was stirred together of, undiluted; none for what comes out of a tin.
	Parts   []MixPart  `toml:"parts" json:"parts,omitempty"`
	Weighed bool       `toml:"weighed" json:"weighed,omitempty"` // Parts are by weight, else by volume
	Tests   []TestCoat `toml:"test" json:"tests,omitempty"`
	DryingLabel
}

// A MixPart is some parts of a coating in a mix.
type MixPart struct {
	Coating string  `toml:"coating" json:"coating"`
	Parts   float64 `toml:"parts" json:"parts"`
}

// HowPutOn is how a coating is put on: a stain is wiped where nothing else is said.
func (k *Coating) HowPutOn() blend.PutOn {
	if k.PutOn == "" && k.Kind == "stain" {
		return blend.Wiped
	}
	return blend.PutOn(k.PutOn)
}

// PaintShare is the paint's share of the mix by volume where the piece file says it; 0 is not known, as of what comes
// thinned.
func (k *Coating) PaintShare() float64 {
	if k.Dilution == nil {
		return 0
	}
	return k.Dilution.Share()
}

// A TestCoat is coats laid on wood for trial: the colour before, and after.
type TestCoat struct {
	Coats    float64   `toml:"coats" json:"coats"`
	Dilution *Dilution `toml:"dilution" json:"dilution,omitempty"` // none means as the coating's
	// Board tells test boards apart: what lies on one board was laid in one go. "" is a board too.
	Board string `toml:"board" json:"board,omitempty"`
	// Strip says that the board was coated further and further along, so that its tests share their first coats.
	Strip  bool         `toml:"strip" json:"strip,omitempty"`
	Wood   string       `toml:"wood" json:"wood,omitempty"` // of the ground, as an area names it; "" means that of the area Ground names
	Ground ColourSource `toml:"ground" json:"ground"`
	Result ColourSource `toml:"result" json:"result"`
}

// A Dilution in whole or broken parts by volume. It is kept as parts because that is how it
// is mixed, and shown in words, because the trade writes "1:4" both ways round.
type Dilution struct {
	Paint float64 `toml:"paint" json:"paint"`
	Water float64 `toml:"water" json:"water"`
}

// Share is the paint's share of the mix by volume, 0–1.
func (d *Dilution) Share() float64 {
	if d == nil {
		return 1
	}
	return d.Paint / (d.Paint + d.Water)
}

// String says the mix in words: "1 part paint to 4 parts water".
func (d *Dilution) String() string {
	if d == nil || d.Water == 0 {
		return "undiluted"
	}
	return parts(d.Paint) + " paint to " + parts(d.Water) + " water"
}

// A ColourSource says where a colour comes from: exactly one of an outline in a photo, an
// area of the piece, Lab figures, or a hex code.
type ColourSource struct {
	Photo   string    `toml:"photo" json:"photo,omitempty"` // of the outline; may be left out when there is only one
	Outline string    `toml:"outline" json:"outline,omitempty"`
	Area    string    `toml:"area" json:"area,omitempty"`
	Lab     []float64 `toml:"lab" json:"lab,omitempty"` // L*, a*, b* for D65 and the 2° observer
	Hex     string    `toml:"hex" json:"hex,omitempty"`
	// PlusMinus is the 95 % radius of Lab or Hex in ΔE00; 0 means 1 for Lab and 4 for Hex.
	PlusMinus float64 `toml:"plus_minus" json:"plus_minus,omitempty"`
	Surface   string  `toml:"surface" json:"surface,omitempty"` // one of Surfaces
	State     string  `toml:"state" json:"state,omitempty"`     // it was read in; one of States; "" is dry
}

// States are the states that a colour can be read in: a wet surface is seen about as under a clear coat.
var States = []string{Dry, Wet, ClearCoated}

// The states of a reading.
const (
	Dry         = "dry"
	Wet         = "wet"
	ClearCoated = "clear-coated"
)

// Typed is the area's colour where it is given in figures and not by an outline; nil where it is not.
func (a *Area) Typed() *ColourSource {
	if a.Lab == nil && a.Hex == "" {
		return nil
	}
	return &ColourSource{Outline: a.Outline, Lab: a.Lab, Hex: a.Hex, PlusMinus: a.PlusMinus, Surface: a.Surface, State: a.State}
}

// AbsorbsAs is the wood that an area absorbs like; an area that names none is like itself alone.
func (a *Area) AbsorbsAs() string {
	if a.Wood != "" {
		return a.Wood
	}
	return a.Name
}

// WoodOf is the wood that a test coat lies on; "" is not known.
func (p *Piece) WoodOf(t *TestCoat) string {
	if i := slices.IndexFunc(p.Areas, func(a Area) bool { return a.Name == t.Ground.Area }); t.Wood == "" && i >= 0 {
		return p.Areas[i].AbsorbsAs()
	}
	return t.Wood
}

// Files are all files that the piece names.
func (p *Piece) Files() (all []string) {
	for _, f := range p.Photos {
		all = append(all, f.File, f.Flat, f.ChartValues)
	}
	all = append(all, p.Candidates)
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

// FileOf is the file of a photo by its name; "" for none.
func (p *Piece) FileOf(photo string) string {
	for i := range p.Photos {
		if p.Photos[i].Name == photo {
			return p.Photos[i].File
		}
	}
	return ""
}

// CoatingNamed is the coating of a name; nil for none.
func (p *Piece) CoatingNamed(name string) *Coating {
	for i := range p.Coatings {
		if p.Coatings[i].Name == name {
			return &p.Coatings[i]
		}
	}
	return nil
}

// parts counts a share of a mix in words: "1 part", "2.5 parts".
func parts(n float64) string {
	unit := " parts"
	if n == 1 {
		unit = " part"
	}
	return strconv.FormatFloat(n, 'g', -1, 64) + unit
}
