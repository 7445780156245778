package web

import (
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
	m.into(&merged.Piece, base.Piece, mine.Piece, theirs.Piece)
	m.into(&merged.Slips, base.Slips, mine.Slips, theirs.Slips)
	for i := range merged.Piece.Coatings {
		k := &merged.Piece.Coatings[i]
		k.Earlier = k.Chip == nil && len(k.Tests) == 0
	}
	merged.Photos = maps.Clone(theirs.Photos)
	for name, look := range mine.Photos {
		if _, there := merged.Photos[name]; !there {
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

// into sets merged, a pointer, to the merge of three values of its type.
func (m *merger) into(merged, base, mine, theirs any) {
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
	data, err := json.Marshal(m.merge(nil, plain[0], plain[1], plain[2]))
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
var wholes = []string{"target", "chip", "ground", "result", "before", "after", "dilution", "laid", "scale"}

// merge merges three values; nil is one that is not there.
func (m *merger) merge(path []string, base, mine, theirs any) any {
	switch {
	case reflect.DeepEqual(mine, base), reflect.DeepEqual(mine, theirs):
		return theirs
	case reflect.DeepEqual(theirs, base):
		return mine
	}
	if len(path) > 0 && slices.Contains(wholes, path[len(path)-1]) {
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

func (m *merger) mergeObjects(path []string, base, mine, theirs map[string]any) any {
	merged := map[string]any{}
	keys := maps.Clone(theirs)
	maps.Copy(keys, mine)
	for _, key := range slices.Sorted(maps.Keys(keys)) {
		if v := m.merge(append(slices.Clone(path), key), base[key], mine[key], theirs[key]); v != nil {
			merged[key] = v
		}
	}
	return merged
}

// mergeLists merges lists of things with names by those, in the order of theirs, with what is new in mine last. Of
// other lists what both added is kept.
func (m *merger) mergeLists(path []string, base, mine, theirs []any) any {
	if names, named := namesOf(theirs, mine, base); named {
		var merged []any
		for _, name := range names {
			if v := m.merge(append(slices.Clone(path), name), withName(base, name), withName(mine, name), withName(theirs, name)); v != nil {
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
func (m *merger) choose(path []string, mine, theirs any) any {
	m.conflicts = append(m.conflicts, conflict{placeWords(path), valueWords(path, theirs), valueWords(path, mine)})
	if m.preferMine {
		return mine
	}
	return theirs
}

// keyWords are what pages call the keys of a piece, where that is not the key itself.
var keyWords = map[string]string{
	"areas": "area", "coatings": "coating", "photos": "photo", "ties": "the same thing in several photos:", "repairs": "repair",
	"tests": "test coats", "laid": "coats that are on", "chip": "dried chip", "family": "thinned with", "put_on": "how it is put on",
	"batch": "can or mix", "dilution": "thinning", "size_m2": "size", "shown": "all of it, for pictures", "also": "in other photos",
	"clear": "clear coat", "year_made": "made about", "old_finish": "old finish on it", "tolerance": "close enough",
	"grey": "paper or card", "grey_lightness": "how light the paper or card is", "neutral": "slips of paper", "in": "where it is",
	"start": "first coat", "opens": "work begins", "closes": "work ends", "children": "children about",
}

// placeWords says where in a piece something is.
func placeWords(path []string) string {
	var words []string
	for _, key := range path {
		if word, known := keyWords[key]; known {
			key = word
		}
		words = append(words, strings.ReplaceAll(key, "_", " "))
	}
	if len(words) == 0 {
		return "the piece"
	}
	return strings.Join(words, " ")
}

// valueWords says what something is set to.
func valueWords(path []string, v any) string {
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
		if slices.Contains([]string{"outline", "corners", "grey"}, path[len(path)-1]) {
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
