package learn

import (
	"strings"

	"huewright/internal/fault"
)

// AgeingKnown returns the way in which a wood's colour changes, where that is known of this wood; the empty note where it is not.
func AgeingKnown(wood string) fault.Note {
	if n := Ageing(wood); n.Code != "wood.other" {
		return n
	}
	return fault.Note{}
}

// Ageing returns the way in which a finished wood's colour changes in a room, as far as that is
// known. The wood is called as the user calls it; "" is any.
//
// Source: beech, 36 months indoors, PMC9104894 (darker by 13.0 ΔE*, steamed beech lighter by 7.1).
// Cherry and walnut: common practice, no source; studies of cherry disagree.
func Ageing(wood string) fault.Note {
	wood = strings.ToLower(wood)
	is := func(name string) bool { return strings.Contains(wood, name) }
	switch {
	case is("beech") && is("steamed"):
		return fault.Say("wood.steamed-beech", "delta", 7.1, "months", 36)
	case is("beech"):
		return fault.Say("wood.beech", "delta", 13.0, "months", 36)
	case is("cherry"):
		return fault.Say("wood.cherry")
	case is("walnut"):
		return fault.Say("wood.walnut")
	}
	return fault.Say("wood.other")
}
