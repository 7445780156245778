package schedule

import (
	"math"
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// A drying says when the next coat may go over a coat, and what the coat needs of the room.
type drying struct {
	after  time.Duration // the next coat not before; 0 where nothing is known
	before time.Duration // and not after, or it no longer bonds; 0 where nothing is known or it never ends
	// NotBelow and NotAbove are the temperatures, °C, between which it dries to a sound film, and
	// NotDamper the relative humidity, per cent, up to which; NaN where nothing is known.
	notBelow, notAbove, notDamper float64
	source                        string // where the figures come from, for a person to read
	fromLabel                     bool   // after is the label's
}

// A Label is what a tin says of drying; what it does not say is 0.
type Label struct {
	After, Before                 time.Duration
	NotBelow, NotAbove, NotDamper float64
}

// A Room is the air that coats dry in.
type Room struct {
	Temperature float64 // °C; NaN not known
	Humidity    float64 // relative, per cent; NaN not known
}

// When the air slows a water-borne film: below 21 °C and above about 65 % it needs 8 to 10 hours
// instead of 2 to 4 (handbooks and labels as the trade passes them on, from memory; 65 is our own
// reading of "humid").
const (
	warmRoom = 21.0
	dampRoom = 65.0
)

// dryingOf returns when a coat of one coating may be followed by one of another; over nil is one of the same family.
// The figures are the trade's, as handbooks and labels have them, from memory, the careful end of each; those of the
// label override them.
func dryingOf(under, over *blend.Coating, l Label, room Room) drying {
	d := drying{notBelow: math.NaN(), notAbove: math.NaN(), notDamper: math.NaN()}
	stain := under.Kind == "stain" || under.Kind == "dye"
	switch {
	case under.Family == blend.OilBorne && over != nil && over.Family == blend.WaterBorne:
		d.after, d.source = 48*time.Hour, "usual for oil under water-borne: 48 h at least, days on open-pored wood; "+
			"a scratch and a piece of tape tell"
	case under.Family == blend.OilBorne && under.PutOn == blend.Wiped:
		d.after, d.source = 24*time.Hour, "usual for what is wiped by hand: not before 24 h"
	case under.Family == blend.OilBorne && stain:
		d.after, d.source = 24*time.Hour, "usual for oil stain: 6 to 24 h"
	case under.Family == blend.OilBorne:
		d.after, d.source = 10*time.Hour, "usual for oil varnish: 8 to 10 h"
	case under.Family == blend.Alcohol:
		d.after, d.notDamper, d.source = time.Hour, 70, "usual for shellac: 30 to 60 min; it blushes above 70 to 80 % humidity"
	case under.Family == blend.WaterBorne || under.Family == "" && (under.Kind == "wash" || under.Kind == "paint"):
		d.after, d.notBelow, d.source = 4*time.Hour, 18, "usual for water-borne finish: 2 to 4 h at 21 °C"
		if room.Temperature < warmRoom || room.Humidity > dampRoom {
			d.after, d.source = 10*time.Hour, "usual for water-borne finish where it is cool or damp: 8 to 10 h"
		}
	}
	if l.After > 0 {
		d.after, d.fromLabel, d.source = l.After, true, "as its label says"
	}
	d.before = l.Before
	for _, p := range []struct {
		to   *float64
		from float64
	}{{&d.notBelow, l.NotBelow}, {&d.notAbove, l.NotAbove}, {&d.notDamper, l.NotDamper}} {
		if p.from != 0 {
			*p.to = p.from
		}
	}
	return d
}

// known reports whether there is a figure for when the next coat may go on.
func (d *drying) known() bool { return d.after > 0 }

// complaints say what is wrong with a room for a coat, each with its limit and what to do.
func (d *drying) complaints(coating string, room Room) (all []fault.Note) {
	if room.Temperature < d.notBelow {
		all = append(all, fault.Saying("too cold for %s: %.0f °C, and it needs %.0f °C at least; bring it in, or wait",
			coating, room.Temperature, d.notBelow))
	}
	if room.Temperature > d.notAbove {
		all = append(all, fault.Saying("too hot for %s: %.0f °C, and it bears %.0f °C at most; wait for the evening, and keep the sun off",
			coating, room.Temperature, d.notAbove))
	}
	if room.Humidity > d.notDamper {
		all = append(all, fault.Saying("too damp for %s: %.0f %%, and it bears %.0f %% at most; wait, or dry the room",
			coating, room.Humidity, d.notDamper))
	}
	return all
}
