package schedule

import (
	"slices"
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

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

// A climate is the air in which a family dries to a sound film.
type climate struct {
	family              blend.Family
	notBelow, notAbove  float64 // °C
	notDamper           float64 // relative humidity, per cent
	coolBelow, dampOver float64 // °C and per cent, beyond which it dries slowly
}

// climates are those of each family. That of "" is the strictest of all: what is not known is kept safest.
//
// From memory, as labels and handbooks have them: water-borne films are poor below 18 °C, oil below 12, shellac and lacquer below
// 10; shellac and lacquer blush above 70 to 80 % humidity, of which the lower counts here; above 32 °C all dry too fast to
// flow, and above 85 % hardly at all. 20 °C at 50 % is neither cool nor damp; 65 % as damp is our own reading of "humid".
var climates = []climate{
	{family: blend.WaterBorne, notBelow: 18, notAbove: 32, notDamper: 85, coolBelow: 20, dampOver: 65},
	{family: blend.OilBorne, notBelow: 12, notAbove: 32, notDamper: 85, coolBelow: 18, dampOver: 65},
	{family: blend.Alcohol, notBelow: 10, notAbove: 32, notDamper: 70, coolBelow: 18, dampOver: 65},
	{family: blend.Lacquer, notBelow: 10, notAbove: 32, notDamper: 70, coolBelow: 18, dampOver: 65},
	{family: "", notBelow: 18, notAbove: 32, notDamper: 70, coolBelow: 20, dampOver: 65},
}

func climateOf(f blend.Family) *climate {
	return &climates[slices.IndexFunc(climates, func(c climate) bool { return c.family == f })]
}

// coolOrDamp reports whether what is known of a room slows a film.
func (c *climate) coolOrDamp(r Room) bool {
	return r.Temperature < c.coolBelow || r.Humidity > c.dampOver
}

// bears reports whether a film dries in a room, as far as that is known.
func (c *climate) bears(r Room) bool {
	return !(r.Temperature < c.notBelow || r.Temperature > c.notAbove || r.Humidity > c.notDamper)
}

// A usualTime is how long coats of a class wait for the next, in hours; empty lists are any.
type usualTime struct {
	family     blend.Family
	kinds      []blend.Kind
	wiped      bool           // only where it is
	over       []blend.Family // of the next coat
	sealer     bool           // only a shellac sealer under more of it
	low, high  float64        // usual
	after      float64        // what is waited: the careful end
	inTheCold  float64        // what is waited where it is cool or damp
	code, slow fault.Code     // how it is said; slow where it is cool or damp, "" the same
}

// usualTimes are the trade's; the first that holds counts. Where none does, nothing is known.
//
// From memory, as labels and handbooks have them: oil under water-borne 48 h at least, gel and what is wiped 24 (16 dissolved the
// coat before), oil stain 6 to 24, varnish 8 to 10, shellac half an hour to one, water-borne 2 to 4 at 21 °C and 8 to 10 where it
// is cool or damp. Twice as long in the cold, for those of which nobody says it, is our own choice. Common practice, no source: an
// oil glaze wants 24 h; coats of a shellac sealer follow each other after half an hour, coats of lacquer after half an hour to two
// hours; what goes over lacquer of another family waits until the next day.
var usualTimes = []usualTime{
	{
		family: blend.OilBorne, over: []blend.Family{blend.WaterBorne}, low: 48, high: 48, after: 48, inTheCold: 96,
		code: "schedule.oil-under-water",
	},
	{family: blend.OilBorne, kinds: []blend.Kind{"stain", "dye"}, low: 6, high: 24, after: 24, inTheCold: 48, code: "schedule.oil-stain"},
	{family: blend.OilBorne, wiped: true, low: 24, high: 24, after: 24, inTheCold: 48, code: "schedule.wiped"},
	{family: blend.OilBorne, kinds: []blend.Kind{"glaze"}, low: 24, high: 24, after: 24, inTheCold: 48, code: "schedule.oil-glaze"},
	{family: blend.OilBorne, low: 8, high: 10, after: 10, inTheCold: 20, code: "schedule.oil-varnish"},
	{family: blend.Alcohol, sealer: true, low: 0.5, high: 1, after: 0.5, inTheCold: 1, code: "schedule.shellac"},
	{family: blend.Alcohol, low: 0.5, high: 1, after: 1, inTheCold: 2, code: "schedule.shellac"},
	{family: blend.Lacquer, over: []blend.Family{blend.Lacquer}, low: 0.5, high: 2, after: 2, inTheCold: 4, code: "schedule.lacquer"},
	{family: blend.WaterBorne, low: 2, high: 4, after: 4, inTheCold: 10, code: "schedule.water", slow: "schedule.water-slow"},
	{
		family: "", kinds: []blend.Kind{"wash", "paint"}, low: 2, high: 4, after: 4, inTheCold: 10,
		code: "schedule.water", slow: "schedule.water-slow",
	},
}

// A drying says when the next coat may go over a coat, and what the coat needs of the room.
type drying struct {
	after                         time.Duration // the next coat not before; 0 where nothing is known
	before                        time.Duration // and not after, or it no longer bonds; 0 where nothing is known or it never ends
	notBelow, notAbove, notDamper float64       // °C, and per cent of relative humidity, for a sound film
	source                        fault.Note    // where the figures come from
	family                        blend.Family
}

// dryingOf returns when a coat of one coating may be followed by one of another; over nil is one of the same. What the label
// says overrides what is usual.
func dryingOf(under, over *blend.Coating, l Label, room Room) drying {
	c := climateOf(under.Family)
	d := drying{
		notBelow: c.notBelow, notAbove: c.notAbove, notDamper: c.notDamper, before: l.Before, family: under.Family,
	}
	if over == nil {
		over = under
	}
	sealer := under.Name == blend.Shellac.Name && over.Name == under.Name
	for i := range usualTimes {
		u := &usualTimes[i]
		if u.family != under.Family || len(u.kinds) > 0 && !slices.Contains(u.kinds, under.Kind) || u.wiped && under.PutOn != blend.Wiped ||
			len(u.over) > 0 && !slices.Contains(u.over, over.Family) || u.sealer && !sealer {
			continue
		}
		hours, code := u.after, u.code
		low, high := u.low, u.high
		if c.coolOrDamp(room) {
			hours = u.inTheCold
			code = "schedule.slow"
			if u.slow != "" {
				code, low, high = u.slow, 8, 10
			}
		}
		d.after = time.Duration(hours * float64(time.Hour))
		d.source = fault.Say(code, "hours", hours, "low", low, "high", high, "low-minutes", 60*low, "high-minutes", 60*high,
			"humidity", c.notDamper, "temperature", usualRoom)
		break
	}
	if l.After > 0 {
		d.after, d.source = l.After, fault.Say("schedule.label")
	}
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

const usualRoom = 21.0 // °C, at which labels give their times

// DryAfter is how long a coat dries before the next of the same may go over it, by the label or else as usual in such a room; 0 where
// nothing is known.
func DryAfter(k *blend.Coating, l Label, room Room) time.Duration {
	return dryingOf(k, nil, l, room).after
}

// known reports whether there is a figure for when the next coat may go on.
func (d *drying) known() bool { return d.after > 0 }

// complaints are what is wrong with a room for a coat: its limit, and which families bear the room instead.
func (d *drying) complaints(coating string, room Room) (all []fault.Note) {
	instead := []string{}
	for i := range climates {
		if c := &climates[i]; c.family != "" && c.family != d.family && c.bears(room) {
			instead = append(instead, string(c.family))
		}
	}
	other := "no"
	if len(instead) > 0 {
		other = "yes"
	}
	if room.Temperature < d.notBelow {
		all = append(all, fault.Say("schedule.too-cold", "coating", coating, "room", room.Temperature, "needs", d.notBelow,
			"other", other, "families", instead))
	}
	if room.Temperature > d.notAbove {
		all = append(all, fault.Say("schedule.too-hot", "coating", coating, "room", room.Temperature, "bears", d.notAbove))
	}
	if room.Humidity > d.notDamper {
		all = append(all, fault.Say("schedule.too-damp", "coating", coating, "room", room.Humidity, "bears", d.notDamper,
			"other", other, "families", instead))
	}
	return all
}

// A cure is how long a finish of a family takes until it may be used with care, and until it is hard, in days.
type cure struct {
	family     blend.Family
	care, full int
}

// cures are from memory, as labels have them; that of "" is the longest.
var cures = []cure{
	{blend.WaterBorne, 3, 21}, {blend.OilBorne, 3, 30}, {blend.Alcohol, 1, 14}, {blend.Lacquer, 2, 21}, {"", 3, 30},
}

func cureOf(f blend.Family) cure {
	return cures[slices.IndexFunc(cures, func(c cure) bool { return c.family == f })]
}

// A scuffing is whether a coat is rubbed down before the next, and how finely.
type scuffing struct {
	kinds    []blend.Kind
	families []blend.Family // empty is any
	grit     int            // 0 is not at all
}

// scuffings say it by the coat that lies there; the first that holds counts.
//
// Common practice, no source: a film that does not melt into the next wants tooth, from 220 to 320 or a grey pad; a shellac sealer
// 220 or finer; lacquer bites in; colour that is wiped, dissolved or misted on rubs through, and is left alone.
var scuffings = []scuffing{
	{kinds: []blend.Kind{"dye", "stain", "glaze", "toner"}, grit: 0},
	{kinds: []blend.Kind{"paint", "wash", "clear"}, families: []blend.Family{blend.Lacquer}, grit: 0},
	{kinds: []blend.Kind{"paint", "wash", "clear"}, families: []blend.Family{blend.Alcohol}, grit: 220},
	{kinds: []blend.Kind{"paint", "wash", "clear"}, grit: 320},
}

// scuffBefore returns the grit to rub a coat down with before the next; 0 for not at all. Colour is not rubbed down before the
// clear coat, nor a sealer before more of it.
func scuffBefore(under, over *blend.Coating) int {
	sealer := under.Name == blend.Shellac.Name
	if over.Kind == Clear && under.Kind != Clear && !sealer || under.Family == blend.Alcohol && under.Name == over.Name {
		return 0
	}
	for _, s := range scuffings {
		if slices.Contains(s.kinds, under.Kind) && (len(s.families) == 0 || slices.Contains(s.families, under.Family)) {
			return s.grit
		}
	}
	return 0
}

// Clear is the kind of a clear coat, which is none of the kinds that colour.
const Clear blend.Kind = "clear"
