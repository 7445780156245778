package repair

// A Verdict on a repair is one of the four below.
type Verdict string

// The four honest answers.
const (
	Reads    Verdict = "reads as this wood"
	Slight   Verdict = "unlike, but too slight to see"
	ShowNear Verdict = "shows from near, not from far"
	Shows    Verdict = "shows"
)

// Distances in millimetres from which woodwork is judged, by its grade (24, 48 and 72 inches): an
// architectural woodwork standard's "inconspicuous".
var Distances = []float64{610, 1219, 1829}

// Judge says what of a repair shows, as it is and from Distances. far is empty where the scale is
// not known.
func Judge(near View, far []View) Verdict {
	switch {
	case !near.Rank.unlike():
		return Reads
	case !near.Seen:
		return Slight
	case len(far) == 0:
		return Shows
	case !far[0].Seen:
		return Slight // not even from the nearest that woodwork is judged from
	case !far[len(far)-1].Seen:
		return ShowNear
	}
	return Shows
}
