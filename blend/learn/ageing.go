package learn

import "strings"

// Ageing returns a caution about the direction in which a finished wood's colour changes in a room, as far as that is
// known. The wood is called as the user calls it; "" is any.
//
// Source: beech, 36 months indoors, PMC9104894 (darker by 13.0 ΔE*, steamed beech lighter by 7.1).
// Cherry and walnut: common practice, no source; studies of cherry disagree.
func Ageing(wood string) string {
	wood = strings.ToLower(wood)
	is := func(name string) bool { return strings.Contains(wood, name) }
	switch {
	case is("beech") && is("steamed"):
		return "steamed beech became lighter in a room (by 7.1 ΔE* in 36 months, in one study): aim no lighter than the target"
	case is("beech"):
		return "beech became darker in a room (by 13.0 ΔE* in 36 months, in one study): stay slightly light"
	case is("cherry"):
		return "cherry changes within a day of light, mostly darker and redder, though studies disagree: " +
			"stay slightly light, and measure it again after a week in the room"
	case is("walnut"):
		return "walnut becomes lighter over months: do not go lighter than the target"
	}
	return "woods go in opposite directions in a room, some darker and some lighter, and by how much is not known of this one: " +
		"stay slightly light, and read it again from time to time"
}
