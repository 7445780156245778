package shell

import (
	"strings"

	"huewright/internal/fault"
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
		if d := slips(typed, name); d < least {
			best, least = name, d
		}
	}
	return best
}

// slips is the Damerau–Levenshtein distance of two words, each pair of neighbours swapped once at most.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	d := make([][]int, len(x)+1)
	for i := range d {
		d[i] = make([]int, len(y)+1)
		d[i][0] = i
	}
	for j := range y {
		d[0][j+1] = j + 1
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(x)][len(y)]
}
