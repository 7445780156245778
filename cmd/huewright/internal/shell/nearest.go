package shell

import (
	"strings"

	"huewright/internal/fault"
	"huewright/internal/spelling"
)

// DidYouMean is a fault of a mistyped name, with a hint at the one of names that was most likely meant; where none is near, the fault
// as it is.
func DidYouMean(f *fault.Fault, typed string, names []string) *fault.Fault {
	if near := nearest(typed, names); near != "" {
		return f.WithHint("use.did-you-mean", "near", near)
	}
	return f
}

// nearest is the name that was most likely meant by a mistyped one: that begins with it, or that a slip of the fingers or two
// makes of it: a letter left out, put in, swapped with its neighbour or replaced. It is "" where none is near.
func nearest(typed string, names []string) string {
	typed = strings.ToLower(typed)
	best, least := "", 1+len(typed)/3 // slips that are allowed, and one more
	if len(typed) > 2 {
		least = max(least, 3)
	}
	for _, name := range names {
		if len(typed) >= 2 && strings.HasPrefix(name, typed) {
			return name
		}
		if d := spelling.Slips(typed, name); d < least {
			best, least = name, d
		}
	}
	return best
}
