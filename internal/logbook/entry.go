package logbook

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"huewright/colour"
)

// A Kind says what an entry is about.
type Kind string

// The kinds of entry.
const (
	kindArea       Kind = "area"      // what a part of the piece is made of
	kindPicture    Kind = "picture"   // a photo of the piece
	kindReference  Kind = "reference" // what a photo's colours were set right by
	kindReading    Kind = "reading"   // a colour that was measured
	kindTestCoat   Kind = "test coat"
	kindCoats      Kind = "coats" // laid on the piece
	kindPlan       Kind = "plan"
	kindCheck      Kind = "check" // of a repair
	kindNote       Kind = "note"
	KindWithdrawal Kind = "withdrawal" // the entry it replaces does not stand
)

// An Entry is one line of the log: what it is about, and one of the details that follow it, by its
// kind. Notes and withdrawals have none.
type Entry struct {
	ID      int64     // the log's own number for it
	At      time.Time // when it happened; zero means now
	NotedAt time.Time // when it was written down; set by Add
	Kind    Kind      // set by Add
	Piece   string    // name; "" for what belongs to none
	Area    string    // part of the piece; "" the whole
	Run     int64     // that it came from; 0 when a person wrote it
	Note    string

	Replaces   int64 // the entry that this one puts right; 0 none
	ReplacedBy int64 // the entry that puts this one right; set by reading
	Withdrawn  bool  // and that one only withdraws it; set by reading

	Facts     *AreaFacts
	Picture   *Picture
	Reference *Reference
	Reading   *Reading
	TestCoat  *TestCoat
	Coats     *Coats
	Plan      *Plan
	Check     *Check
}

// Stands reports whether nothing has put the entry right.
func (e *Entry) Stands() bool { return e.ReplacedBy == 0 }

// AreaFacts are what a part of a piece is made of.
type AreaFacts struct {
	Wood, Cut, Sanding, WoodAge string // in words; "" unknown
	Surface                     string // one of blend.Surfaces; "" unknown
	SquareMetres                float64
}

// A Picture is a photo of the piece.
type Picture struct{ SHA256 string }

// A Reference is what a photo's colours were set right by.
type Reference struct {
	SHA256    string
	By        string  // chart, grey, neutral, none
	Patches   int     // that counted
	LeftOut   float64 // mean ΔE00 of patches predicted by the others; 0 not known
	LeftOut95 float64 // and of 95 in 100
	Uneven    float64 // share of luminance by which the light may differ; 0 not known
}

// A Reading is a colour that was measured.
type Reading struct {
	Of        string // one of ReadingsOf
	Lab       colour.Lab
	PlusMinus float64 // 95 % radius, ΔE00
	Own       float64 // the part of it that is this reading's alone; 0 not known
	Spread    float64 // standard deviation of L* over the grain; 0 not known
	Pixels    int     // 0 not from a photo
	SHA256    string  // of the photo; "" not from a kept one
	Relative  bool    // without a reference: good beside others of its photo only
	Surface   string  // as it was then; "" unknown
	Stack     Stack   // coats on it
	Coating   *Coating
	Light     *colour.Lab // lightest quarter of the grain; nil not known
	Dark      *colour.Lab // darkest
}

// ReadingsOf are what a reading can be of.
var ReadingsOf = []string{"area", "target", "chip", "ground", "result", "repair", "tie", "other"}

// A Coating is what somebody calls a coating, and how it is used.
type Coating struct {
	Name   string
	Kind   string // one of blend.Kinds
	Family string // one of blend.Families; "" unknown
	PutOn  string // one of blend.PutOns; "" as is usual for its kind
	Batch  string // what distinguishes this tin or mix from others; "" the only one so far
}

// A TestCoat is coats that were laid for trial. Ground and Result are entries of readings.
type TestCoat struct {
	Coating
	Coats          float64
	Share          float64 // of the coating in the mix, 0–1
	Ground, Result int64
	Surface        string // of the ground
}

// Coats are coats that were laid on the piece.
type Coats struct {
	Coating
	Coats        int
	Share        float64  // of the coating in the mix, 0–1
	ThinnedWith  string   // in words
	WipedAfter   *float64 // minutes; nil not wiped, or unknown
	Dried        *float64 // hours before the next step; nil unknown
	Temperature  *float64 // °C; nil unknown
	Humidity     *float64 // % relative; nil unknown
	Ground       int64    // entry of the reading it lies on; 0 not measured
	Result       int64    // entry of the reading of what came of it, dry; 0 not measured
	LaidBy       string   // as the coat itself was put on: one of blend.PutOns; "" unknown
	GroundColour *colour.Lab
	ResultColour *colour.Lab
}

// A Plan is the suggestion of a plan for one area.
type Plan struct {
	Coats         int   // still to come, in all
	Low, High     int   // the count that is truly best lies within, 80 times in 100
	Stack         Stack // the area's coats after it
	Target        *colour.Lab
	Before, After float64 // ΔE00 to the target
	Predictions   []Prediction
}

// A Prediction is the colour that a plan predicts for an area after some coats more.
type Prediction struct {
	Coating   Coating // of the uppermost
	Laid      int     // coats of it, from the area as it was
	Stack     Stack   // all coats the area would then have
	Lab       colour.Lab
	PlusMinus float64    // 95 % radius, ΔE00
	Step      colour.Lab // what the last coat alone was to change
}

// A Check is what was found of a repair.
type Check struct {
	Says   string  // the verdict
	Of100  float64 // so many of 100 equal patches of the wood stand out less
	DeltaE float64 // ΔE00 to its surroundings
}

// A Stack is the coats on an area, the undermost first. In JSON it is [["name", coats], …].
type Stack []Layer

// A Layer is some coats of one coating.
type Layer struct {
	Coating string
	Coats   float64
}

// MarshalJSON writes [name, coats].
func (l Layer) MarshalJSON() ([]byte, error) { return json.Marshal([]any{l.Coating, l.Coats}) }

// UnmarshalJSON reads [name, coats].
func (l *Layer) UnmarshalJSON(data []byte) error {
	return json.Unmarshal(data, &[]any{&l.Coating, &l.Coats})
}

// Over is the stack with coats more, those of one coating counted together.
func (s Stack) Over(coating string, coats float64) Stack {
	out := append(Stack{}, s...)
	if n := len(out); n > 0 && out[n-1].Coating == coating {
		out[n-1].Coats += coats
		return out
	}
	return append(out, Layer{coating, coats})
}

// Coats is how many coats a stack has in all.
func (s Stack) Coats() (n float64) {
	for _, l := range s {
		n += l.Coats
	}
	return n
}

// String tells the stack in words: "2 × brown wash, 1 × glaze"; "" for none.
func (s Stack) String() string {
	var all []string
	for _, l := range s {
		all = append(all, fmt.Sprintf("%v × %s", l.Coats, l.Coating))
	}
	return strings.Join(all, ", ")
}

// text is the stack as the log writes it; two stacks are the same when their texts are.
func (s Stack) text() string {
	if len(s) == 0 {
		return "[]"
	}
	data, err := json.Marshal(s)
	if err != nil {
		panic(err) // a name and a finite figure
	}
	return string(data)
}
