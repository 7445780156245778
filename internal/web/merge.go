package web

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A conflict is something that two pages set differently at the same time.
type conflict struct{ What, Theirs, Mine string }

// A conflictError reports that a page was older than what it changes, and that both set the same thing differently.
type conflictError struct {
	all  []conflict
	over string // the draft that mine would be set over
}

func (e *conflictError) Error() string { return e.Unwrap().Error() }
func (e *conflictError) Unwrap() error { return fault.New(fault.Use, "page.changed-twice") }

// mergeDrafts is a three-way merge: what a page changed, from base to mine, is done to theirs, which was changed from
// base too. Where both changed one thing differently it is a conflict, and theirs stays unless preferMine is set.
func mergeDrafts(base, mine, theirs *pieceDraft, preferMine bool) (*pieceDraft, []conflict) {
	m := merger{preferMine: preferMine}
	merged := *theirs
	merged.Did = mine.Did
	m.into(&merged.Piece, nil, base.Piece, mine.Piece, theirs.Piece)
	m.into(&merged.Slips, []part{{word: "slips"}}, base.Slips, mine.Slips, theirs.Slips)
	m.into(&merged.Ticked, []part{{word: "ticked"}}, base.Ticked, mine.Ticked, theirs.Ticked)
	m.into(&merged.On, []part{{word: "on"}}, base.On, mine.On, theirs.On)
	m.into(&merged.Choice, []part{{word: "choice"}}, base.Choice, mine.Choice, theirs.Choice)
	for i := range merged.Piece.Coatings {
		k := &merged.Piece.Coatings[i]
		k.Earlier = fromLogAlone(k)
	}
	merged.Photos = maps.Clone(theirs.Photos)
	for name, look := range mine.Photos {
		if _, there := merged.Photos[name]; !there || !reflect.DeepEqual(look, base.Photos[name]) {
			merged.Photos[name] = look
		}
	}
	// A reading stands where neither side had reason to read again.
	merged.Read = map[string]workshop.SpotReading{}
	for name, spot := range theirs.Read {
		if was, kept := mine.Read[name]; kept && reflect.DeepEqual(was, base.Read[name]) || !kept && !has(base.Read, name) {
			merged.Read[name] = spot
		}
	}
	return &merged, m.conflicts
}

func has[V any](m map[string]V, key string) bool {
	_, there := m[key]
	return there
}

// A merger merges plain data as JSON has it.
type merger struct {
	preferMine bool
	conflicts  []conflict
}

// A part of a path is a key of a piece, or the name of something under one.
type part struct {
	word  string
	named bool
}

// under is a longer path; it shares nothing with the shorter one.
func under(path []part, word string, named bool) []part {
	return append(slices.Clone(path), part{word, named})
}

// endsIn reports whether a path ends in one of some keys.
func endsIn(path []part, keys []string) bool {
	return len(path) > 0 && !path[len(path)-1].named && slices.Contains(keys, path[len(path)-1].word)
}

// into sets merged, a pointer, to the merge of three values of its type, which are found by a path.
func (m *merger) into(merged any, path []part, base, mine, theirs any) {
	var plain [3]any
	for i, v := range []any{base, mine, theirs} {
		data, err := json.Marshal(v)
		if err == nil {
			err = json.Unmarshal(data, &plain[i])
		}
		if err != nil {
			panic(err) // plain data
		}
	}
	data, err := json.Marshal(m.merge(path, plain[0], plain[1], plain[2]))
	if err == nil {
		reflect.ValueOf(merged).Elem().SetZero()
		err = json.Unmarshal(data, merged)
	}
	if err != nil {
		panic(err) // as it came
	}
}

// wholes are values that make sense only as a whole, by their keys. Of coats laid too: what two people note at once is
// likely the same coat.
var wholes = []string{"target", "chip", "ground", "result", "before", "after", "dilution", "parts", "laid", "scale", "choice"}

// byName are objects whose keys are names, by their own keys.
var byName = []string{"in", "slips", "on", "ticked"}

// merge merges three values; nil is one that is not there.
func (m *merger) merge(path []part, base, mine, theirs any) any {
	switch {
	case reflect.DeepEqual(mine, base), reflect.DeepEqual(mine, theirs):
		return theirs
	case reflect.DeepEqual(theirs, base):
		return mine
	}
	if endsIn(path, wholes) {
		return m.choose(path, mine, theirs)
	}
	switch ours := mine.(type) {
	case map[string]any:
		if other, ok := theirs.(map[string]any); ok {
			was, _ := base.(map[string]any)
			return m.mergeObjects(path, was, ours, other)
		}
	case []any:
		if other, ok := theirs.([]any); ok {
			was, _ := base.([]any)
			return m.mergeLists(path, was, ours, other)
		}
	}
	return m.choose(path, mine, theirs)
}

func (m *merger) mergeObjects(path []part, base, mine, theirs map[string]any) any {
	merged := map[string]any{}
	keys := maps.Clone(theirs)
	maps.Copy(keys, mine)
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if v := m.merge(under(path, key, endsIn(path, byName)), base[key], mine[key], theirs[key]); v != nil {
			merged[key] = v
		}
	}
	return merged
}

// mergeLists merges lists of things with names by those, in the order of theirs, with what is new in mine last. Of
// other lists what both added is kept.
func (m *merger) mergeLists(path []part, base, mine, theirs []any) any {
	if names, named := namesOf(theirs, mine, base); named {
		var merged []any
		for _, name := range names {
			if v := m.merge(under(path, name, true), withName(base, name), withName(mine, name), withName(theirs, name)); v != nil {
				merged = append(merged, v)
			}
		}
		return merged
	}
	n := len(base)
	if len(mine) < n || len(theirs) < n || !reflect.DeepEqual(mine[:n:n], base) && n > 0 || !reflect.DeepEqual(theirs[:n:n], base) && n > 0 {
		return m.choose(path, mine, theirs)
	}
	merged := slices.Clone(theirs)
	for _, v := range mine[n:] {
		if !slices.ContainsFunc(theirs[n:], func(o any) bool { return reflect.DeepEqual(o, v) }) {
			merged = append(merged, v)
		}
	}
	return merged
}

// namesOf are the names of all that is in some lists, if all of it has names.
func namesOf(lists ...[]any) (names []string, named bool) {
	for _, list := range lists {
		for _, v := range list {
			object, _ := v.(map[string]any)
			name, ok := object["name"].(string)
			if !ok {
				return nil, false
			}
			if !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	return names, len(names) > 0
}

func withName(list []any, name string) any {
	for _, v := range list {
		if v.(map[string]any)["name"] == name {
			return v
		}
	}
	return nil
}

// choose notes a conflict, and takes a side.
func (m *merger) choose(path []part, mine, theirs any) any {
	m.conflicts = append(m.conflicts, conflict{placeWords(path), valueWords(path, theirs), valueWords(path, mine)})
	if m.preferMine {
		return mine
	}
	return theirs
}

// keyWords are what pages call the keys of a piece, where that is not the key itself.
var keyWords = map[string]string{
	"areas": "area", "coatings": "coating", "photos": "photo", "ties": "what several photos show:", "repairs": "repair",
	"tests": "test coats", "laid": "coats that are on", "chip": "dried chip", "family": "thinned with", "put_on": "how it is put on",
	"batch": "can or mix", "dilution": "thinning", "parts": "what it is mixed of", "weighed": "parts by weight",
	"size_m2": "size in m²", "shown": "all of it, for pictures", "also": "in other photos",
	"clear": "clear coat", "year_made": "made about", "country": "where it was finished", "hours": "hours of work",
	"old_finish": "old finish on it", "tolerance": "close enough",
	"grey": "paper or card", "grey_lightness": "how light the paper or card is", "neutral": "slips of paper",
	"not_slip": "what is no slip", "slip_corners": "where printed slips are", "in": "in photo",
	"slips": "slip of paper in photo", "on": "coats that are on", "Coating": "which coating", "Coats": "how many", "At": "since when",
	"ticked": "done:", "choice": "which plan",
	"start": "work begins", "opens": "each day from", "closes": "each day until", "children": "children about",
}

// placeWords says where in a piece something is.
func placeWords(path []part) string {
	var words []string
	for _, p := range path {
		if p.named {
			words = append(words, p.word)
			continue
		}
		words = append(words, cmp.Or(keyWords[p.word], strings.ReplaceAll(p.word, "_", " ")))
	}
	if len(words) == 0 {
		return "the piece"
	}
	return strings.Join(words, " ")
}

// valueWords says what something is set to.
func valueWords(path []part, v any) string {
	switch v := v.(type) {
	case nil:
		return "nothing"
	case bool:
		if v {
			return "yes"
		}
		return "no"
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case string:
		if path[len(path)-1].named || endsIn(path, []string{"outline", "corners", "grey"}) {
			return "another outline"
		}
		return v
	case []any:
		return fmt.Sprintf("%d of them", len(v))
	case map[string]any:
		var s piece.ColourSource
		data, err := json.Marshal(v)
		if err == nil && json.Unmarshal(data, &s) == nil && (s.Outline+s.Hex+s.Area != "" || len(s.Lab) == 3) {
			return sourceWords(&s)
		}
	}
	return "set otherwise"
}
