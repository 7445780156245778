package piece

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"huewright/internal/fault"
	"huewright/internal/spelling"
)

// A structure is the keys of a document and where each stands, held against the keys that a piece may have.
type structure struct {
	parser   unstable.Parser
	at       map[string]place // of each key, written like coating[0].test[1].coats
	elements map[string]int   // how many elements each array of tables has so far
	given    map[string]bool  // keys and headings that were written out
	fault    *fault.Fault     // of the first that does not fit a piece; nil where all fit
	edits    []edit           // what stands for a group of keys, in the order of the document
	whole    bool             // all of the document was read
}

func readStructure(data []byte) *structure {
	s := &structure{at: map[string]place{}, elements: map[string]int{}, given: map[string]bool{}}
	s.parser.Reset(data)
	heading, of := "", reflect.TypeFor[Piece]()
	for s.parser.NextExpression() {
		switch node := s.parser.Expression(); node.Kind {
		case unstable.ArrayTable:
			heading, of = s.heading(node, true)
		case unstable.Table:
			heading, of = s.heading(node, false)
		case unstable.KeyValue:
			s.keyValue(heading, of, node)
		}
	}
	s.whole = s.parser.Error() == nil
	return s
}

// refuse keeps the first fault.
func (s *structure) refuse(at place, code fault.Code, values ...any) {
	s.refuseAs(at, fault.New(fault.Use, code, values...))
}

func (s *structure) refuseAs(at place, f *fault.Fault) {
	if s.fault == nil {
		kept := *f
		kept.Place.Line, kept.Place.Column = at.line, at.column
		s.fault = &kept
	}
}

// start is where a key begins.
func (s *structure) start(node *unstable.Node) place {
	at := s.parser.Shape(node.Raw).Start
	return place{at.Line, at.Column}
}

// heading resolves [a.b] or [[a.b]] to the path of the table it opens and the type of that table. Parts that are arrays
// of tables mean their last element.
func (s *structure) heading(node *unstable.Node, newElement bool) (path string, of reflect.Type) {
	of = reflect.TypeFor[Piece]()
	for it := node.Key(); it.Next(); {
		key := string(it.Node().Data)
		of = s.member(it.Node(), of, key)
		path = join(path, key)
		repeats := of != nil && of.Kind() == reflect.Slice && of.Elem().Kind() == reflect.Struct
		switch {
		case of == nil:
		case !repeats && !isTable(of):
			s.refuse(s.start(it.Node()), "piece.wrong-kind", "key", key, "want", wanted(of), "found", fault.Say("piece.kind-table"))
		case it.IsLast() && newElement && !repeats:
			s.refuse(s.start(it.Node()), "piece.single-heading", "key", path)
		case it.IsLast() && !newElement && repeats:
			s.refuse(s.start(it.Node()), "piece.double-heading", "key", path)
		}
		if newElement && it.IsLast() {
			if s.given[path] {
				s.refuse(s.start(it.Node()), "piece.key-twice", "key", key)
			}
			s.elements[path]++
		}
		if n := s.elements[path]; n > 0 {
			path += "[" + strconv.Itoa(n-1) + "]"
		}
		if repeats {
			of = of.Elem()
		}
		if it.IsLast() {
			s.once(it.Node(), path, "piece.heading-twice", key)
		}
		s.note(path, it.Node())
	}
	return path, of
}

// once refuses what was given before.
func (s *structure) once(node *unstable.Node, path string, code fault.Code, key string) {
	if s.given[path] {
		s.refuse(s.start(node), code, "key", key)
	}
	s.given[path] = true
}

func (s *structure) keyValue(path string, of reflect.Type, node *unstable.Node) {
	key := ""
	for it := node.Key(); it.Next(); {
		key = string(it.Node().Data)
		of = s.member(it.Node(), of, key)
		path = join(path, key)
		if it.IsLast() {
			s.once(it.Node(), path, "piece.key-twice", key)
		}
		s.note(path, it.Node())
	}
	s.value(path, key, of, node.Value())
}

// value holds a value against the type that its key has; nil is not known.
func (s *structure) value(path, key string, of reflect.Type, node *unstable.Node) {
	if node.Kind == unstable.String && s.short(path, of, node) {
		return
	}
	if of != nil && !fits(of, node.Kind) {
		s.refuse(s.placeOf(path), "piece.wrong-kind", "key", key, "want", wanted(of), "found", found(node.Kind))
	}
	if of != nil && (node.Kind == unstable.Integer || node.Kind == unstable.Float) && !inRange(of, string(node.Data)) {
		s.refuse(s.placeOf(path), "piece.huge-number", "key", key)
	}
	children := node.Children()
	switch node.Kind {
	case unstable.InlineTable:
		for children.Next() {
			s.keyValue(path, of, children.Node())
		}
	case unstable.Array:
		var element reflect.Type
		if of != nil && of.Kind() == reflect.Slice {
			element = of.Elem()
		}
		for i := 0; children.Next(); i++ {
			at := fmt.Sprintf("%s[%d]", path, i)
			s.note(at, children.Node())
			s.value(at, key, element, children.Node())
		}
	}
}

// placeOf is where a value stands: at its key, or the nearest above.
func (s *structure) placeOf(path string) place {
	for ; path != ""; path = parent(path) {
		if at, noted := s.at[path]; noted {
			return at
		}
	}
	return place{}
}

// member is the type of a key of a table; nil where the table's is nil, and where it has no such key, which is a fault.
func (s *structure) member(node *unstable.Node, of reflect.Type, key string) reflect.Type {
	if of == nil {
		return nil
	}
	if of.Kind() == reflect.Map {
		return of.Elem()
	}
	if of.Kind() != reflect.Struct {
		return nil
	}
	known := map[string]reflect.Type{}
	keysOf(of, known)
	var names []string
	for name, t := range known {
		if strings.EqualFold(name, key) {
			return t
		}
		names = append(names, name)
	}
	slices.Sort(names)
	if i := slices.IndexFunc(names, func(name string) bool { return misspelt(key, name) }); i >= 0 {
		s.refuse(s.start(node), "piece.misspelt-key", "key", key, "meant", names[i])
	} else {
		s.refuse(s.start(node), "piece.unknown-key", "key", key, "known", names)
	}
	return nil
}

// keysOf are the keys of a table and their types, pointers resolved.
func keysOf(of reflect.Type, all map[string]reflect.Type) {
	for i := range of.NumField() {
		f := of.Field(i)
		t := f.Type
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if f.Anonymous {
			keysOf(t, all)
		} else {
			all[f.Tag.Get("toml")] = t
		}
	}
}

func isTable(of reflect.Type) bool { return of.Kind() == reflect.Struct || of.Kind() == reflect.Map }

func fits(of reflect.Type, kind unstable.Kind) bool {
	switch of.Kind() {
	case reflect.String:
		return kind == unstable.String
	case reflect.Bool:
		return kind == unstable.Bool
	case reflect.Int:
		return kind == unstable.Integer
	case reflect.Float64:
		return kind == unstable.Integer || kind == unstable.Float
	case reflect.Slice:
		return kind == unstable.Array
	case reflect.Interface: // of several kinds: its check says of which
		return true
	}
	return kind == unstable.InlineTable
}

// inRange reports whether a number as it is written can be held.
func inRange(of reflect.Type, text string) bool {
	text = strings.ReplaceAll(text, "_", "")
	_, err := strconv.ParseInt(text, 0, 64)
	if of.Kind() != reflect.Int && err != nil {
		var v float64
		v, err = strconv.ParseFloat(text, 64)
		if !strings.ContainsAny(text, ".eEin") && math.Abs(v) > math.MaxInt64 {
			return false // whole numbers are decoded as such first
		}
	}
	return err == nil
}

// wanted is what a key takes.
func wanted(of reflect.Type) fault.Note {
	switch of {
	case reflect.TypeFor[Dilution]():
		return fault.Say("piece.kind-dilution")
	case reflect.TypeFor[[]MixPart]():
		return fault.Say("piece.kind-parts")
	case reflect.TypeFor[ColourSource]():
		return fault.Say("piece.kind-colour")
	case reflect.TypeFor[Photo](), reflect.TypeFor[[]Photo]():
		return fault.Say("piece.kind-photo")
	}
	switch of.Kind() {
	case reflect.String:
		return fault.Say("piece.kind-text")
	case reflect.Bool:
		return fault.Say("piece.kind-bool")
	case reflect.Int:
		return fault.Say("piece.kind-whole")
	case reflect.Float64:
		return fault.Say("piece.kind-number")
	case reflect.Slice:
		return fault.Say("piece.kind-list")
	}
	return fault.Say("piece.kind-table")
}

// found is what a value is.
func found(kind unstable.Kind) fault.Note {
	switch kind {
	case unstable.String:
		return fault.Say("piece.kind-text")
	case unstable.Bool:
		return fault.Say("piece.kind-bool")
	case unstable.Integer, unstable.Float:
		return fault.Say("piece.kind-number")
	case unstable.Array:
		return fault.Say("piece.kind-list")
	case unstable.InlineTable:
		return fault.Say("piece.kind-table")
	}
	return fault.Say("piece.kind-date")
}

// misspelt reports whether a word differs from one that is known by a slip or two.
func misspelt(word, known string) bool { return spelling.Slips(word, known) <= min(2, len(known)/3) }

func (s *structure) note(path string, node *unstable.Node) {
	if _, noted := s.at[path]; noted || node.Raw.Length == 0 {
		return // [[coating.test]] names coating again, which stands further up
	}
	s.at[path] = s.start(node)
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}
