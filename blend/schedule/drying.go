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
	source                        fault.Note // where the figures come from
	fromLabel                     bool       // after is the label's
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
		d.after, d.source = 48*time.Hour, fault.Say("schedule.oil-under-water", "hours", 48)
	case under.Family == blend.OilBorne && under.PutOn == blend.Wiped:
		d.after, d.source = 24*time.Hour, fault.Say("schedule.wiped", "hours", 24)
	case under.Family == blend.OilBorne && stain:
		d.after, d.source = 24*time.Hour, fault.Say("schedule.oil-stain", "low", 6, "high", 24)
	case under.Family == blend.OilBorne:
		d.after, d.source = 10*time.Hour, fault.Say("schedule.oil-varnish", "low", 8, "high", 10)
	case under.Family == blend.Alcohol:
		d.after, d.notDamper, d.source = time.Hour, 70, fault.Say("schedule.shellac", "low", 30, "high", 60, "humidity", 70)
	case under.Family == blend.WaterBorne || under.Family == "" && (under.Kind == "wash" || under.Kind == "paint"):
		d.after, d.notBelow, d.source = 4*time.Hour, 18, fault.Say("schedule.water", "low", 2, "high", 4, "temperature", warmRoom)
		if room.Temperature < warmRoom || room.Humidity > dampRoom {
			d.after, d.source = 10*time.Hour, fault.Say("schedule.water-slow", "low", 8, "high", 10)
		}
	}
	if l.After > 0 {
		d.after, d.fromLabel, d.source = l.After, true, fault.Say("schedule.label")
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

// complaints are what is wrong with a room for a coat, each with its limit and what to do.
func (d *drying) complaints(coating string, room Room) (all []fault.Note) {
	if room.Temperature < d.notBelow {
		all = append(all, fault.Say("schedule.too-cold", "coating", coating, "room", room.Temperature, "needs", d.notBelow))
	}
	if room.Temperature > d.notAbove {
		all = append(all, fault.Say("schedule.too-hot", "coating", coating, "room", room.Temperature, "bears", d.notAbove))
	}
	if room.Humidity > d.notDamper {
		all = append(all, fault.Say("schedule.too-damp", "coating", coating, "room", room.Humidity, "bears", d.notDamper))
	}
	return all
}
