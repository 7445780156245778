package fault

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// A Kind says whose a fault is. A command's exit code and a page's status follow from it.
type Kind string

// The kinds of fault.
const (
	Use   Kind = "use"   // what was asked makes no sense: a flag, an outline, a key of the piece file
	Photo Kind = "photo" // a photo cannot be used
	Log   Kind = "log"   // the log cannot be used
	File  Kind = "file"  // a file cannot be written or read
	Slow  Kind = "slow"  // not done in the time that was given
)

// A Fault is an error that a person can do something about: what is wrong, where, and what to do next.
// The zero Hint stands for the hint that internal/words has beside the fault's own sentence.
type Fault struct {
	Note
	Kind Kind
	Hint Note
	Err  error // beneath, for developers; nil where there is none
}

// New is a fault, with the names and values of what its sentence tells, in turn: New(Photo, "photo.few-pixels", "have", 40, "need", 200).
// It panics if they do not come in pairs.
func New(kind Kind, code Code, values ...any) *Fault {
	return &Fault{Note: Say(code, values...), Kind: kind}
}

// WithHint is the same fault with another hint than its usual one. The hint may tell the fault's values too.
func (f *Fault) WithHint(code Code, values ...any) *Fault {
	g := *f
	g.Hint = Say(code, values...)
	return &g
}

// Because is the same fault with the error that it comes of.
func (f *Fault) Because(err error) *Fault {
	g := *f
	g.Err = err
	return &g
}

// Error is the code with its values, for developers. internal/words says it to people.
func (f *Fault) Error() string {
	s := f.Note.String()
	if f.Err != nil {
		s += ": " + f.Err.Error()
	}
	return s
}

func (f *Fault) Unwrap() error { return f.Err }

// HintValues are what the hint of a fault may tell: its own values, and those of the fault where it has none of a name.
func (f *Fault) HintValues() Values {
	all := maps.Clone(f.Values)
	if all == nil {
		all = Values{}
	}
	maps.Copy(all, f.Hint.Values)
	return all
}

// In is an error with the place where it was found. What the fault knows of its place already stays. Errors that hold no fault stay as they
// are.
func In(err error, place Place) error {
	f := Of(err)
	if f == nil {
		return err
	}
	g := *f
	g.Place = f.Place.Or(place)
	return &g
}

// Of is the first fault in the chain of an error; nil where there is none.
func Of(err error) *Fault {
	var f *Fault
	if errors.As(err, &f) {
		return f
	}
	return nil
}

// Is reports whether the first fault in the chain of an error has one of the codes.
func Is(err error, codes ...Code) bool {
	f := Of(err)
	return f != nil && slices.Contains(codes, f.Code)
}

// KindOf is the kind of the first fault in the chain of an error; "" where there is none.
func KindOf(err error) Kind {
	if f := Of(err); f != nil {
		return f.Kind
	}
	return ""
}

// A Code names one thing that is said, as "subject.thing": "photo.cut-off". Its sentence stands in internal/words.
type Code string

// Said is the code of a sentence that was made elsewhere: by an earlier version, which stored sentences, or by a person.
const Said Code = "say.text"

// Values are what a sentence tells, by name: strings, numbers, lists of strings, and notes, which are sentences or parts of them
// themselves.
type Values map[string]any

// A Note is something to tell a person, as data: a warning, a reason, part of a sentence. The zero Note says nothing.
type Note struct {
	Code   Code   `json:"code"`
	Values Values `json:"values,omitempty"`
	Place  Place  `json:"at,omitzero"`
}

// Say is a note, with the names and values of what it tells in turn. It panics if they do not come in pairs.
func Say(code Code, values ...any) Note {
	n := Note{Code: code}
	if len(values)%2 != 0 {
		panic(fmt.Sprintf("fault: %s: a value without a name", code))
	}
	for i := 0; i < len(values); i += 2 {
		if n.Values == nil {
			n.Values = Values{}
		}
		n.Values[values[i].(string)] = values[i+1]
	}
	return n
}

// Empty reports whether a note says nothing.
func (n Note) Empty() bool { return n.Code == "" }

// In is the same note with the place it is about; what it knows of its place already stays.
func (n Note) In(place Place) Note {
	n.Place = n.Place.Or(place)
	return n
}

// Equal reports whether two notes say the same.
func (n Note) Equal(m Note) bool { return n.String() == m.String() }

// String is the code with its place and values, for developers.
func (n Note) String() string {
	var b strings.Builder
	b.WriteString(string(n.Code))
	if n.Place != (Place{}) {
		fmt.Fprintf(&b, " %v", n.Place)
	}
	for _, name := range slices.Sorted(maps.Keys(n.Values)) {
		fmt.Fprintf(&b, " %s=%v", name, n.Values[name])
	}
	return b.String()
}

// UnmarshalJSON reads a note, or the sentence that earlier versions stored in its stead.
func (n *Note) UnmarshalJSON(data []byte) error {
	var sentence string
	if json.Unmarshal(data, &sentence) == nil {
		*n = Say(Said, "text", sentence)
		return nil
	}
	type plain Note
	return json.Unmarshal(data, (*plain)(n))
}

// Once is the notes without those that were there before, in their order; nil where there are none.
func Once(notes []Note) (all []Note) {
	for _, n := range notes {
		if !slices.ContainsFunc(all, n.Equal) {
			all = append(all, n)
		}
	}
	return all
}
