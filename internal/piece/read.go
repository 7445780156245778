package piece

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// Read reads and checks a piece file, of which path is the name. Keys it does not know, values that
// make no sense and names that nothing bears are each an *Error with line and column.
func Read(path string, data []byte, limits Limits) (*Piece, error) {
	if !utf8.Valid(data) {
		return nil, &Error{File: path, Problem: "is not text",
			Advice: "a piece file is text that names the photos; to measure one photo use \"huewright measure\""}
	}
	var piece Piece
	dec := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := dec.Decode(&piece); err != nil {
		return nil, decodeFault(path, err)
	}
	check := checker{piece: &piece, file: path, limits: limits, places: places(data)}
	if err := check.run(); err != nil {
		return nil, err
	}
	return &piece, nil
}

// ValidateWithin checks a piece that was not read from a file. The error is an *Error without a line.
func (p *Piece) ValidateWithin(l Limits) error {
	c := checker{piece: p, file: p.Name, limits: l}
	return c.run()
}

func decodeFault(path string, err error) error {
	fault := &Error{File: path, Problem: err.Error(), Advice: "see \"huewright plan --help\" for a whole piece file"}
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown) && len(unknown.Errors) > 0:
		first := &unknown.Errors[0]
		fault.Line, fault.Column = first.Position()
		fault.Problem = fmt.Sprintf("no such key: %s", strings.Join(first.Key(), "."))
		fault.Advice = "check its spelling, and under which heading it stands; see \"huewright plan --help\" for a whole piece file"
	case errors.As(err, &wrong):
		fault.Line, fault.Column = wrong.Position()
		fault.Problem = strings.TrimPrefix(wrong.Error(), "toml: ")
	}
	return fault
}

// places maps every key of a document, written like coating[0].test[1].coats, to where it
// stands, so that a value which parses but makes no sense can be pointed at too. The
// document has been decoded without error before.
func places(data []byte) map[string]place {
	ix := placeIndex{at: map[string]place{}, elements: map[string]int{}}
	ix.parser.Reset(data)
	heading := ""
	for ix.parser.NextExpression() {
		switch node := ix.parser.Expression(); node.Kind {
		case unstable.ArrayTable:
			heading = ix.heading(node, true)
		case unstable.Table:
			heading = ix.heading(node, false)
		case unstable.KeyValue:
			ix.keyValue(heading, node)
		}
	}
	return ix.at
}

type placeIndex struct {
	parser   unstable.Parser
	at       map[string]place
	elements map[string]int // how many elements each array of tables has so far
}

// heading resolves [a.b] or [[a.b]] to the path of the table it opens. Parts that are arrays
// of tables mean their last element.
func (ix *placeIndex) heading(node *unstable.Node, newElement bool) string {
	path := ""
	for it := node.Key(); it.Next(); {
		path = join(path, string(it.Node().Data))
		if newElement && it.IsLast() {
			ix.elements[path]++
		}
		if n := ix.elements[path]; n > 0 {
			path += "[" + strconv.Itoa(n-1) + "]"
		}
		ix.note(path, it.Node())
	}
	return path
}

func (ix *placeIndex) keyValue(prefix string, node *unstable.Node) {
	path := prefix
	for it := node.Key(); it.Next(); {
		path = join(path, string(it.Node().Data))
		ix.note(path, it.Node())
	}
	ix.value(path, node.Value())
}

func (ix *placeIndex) value(path string, node *unstable.Node) {
	children := node.Children()
	switch node.Kind {
	case unstable.InlineTable:
		for children.Next() {
			ix.keyValue(path, children.Node())
		}
	case unstable.Array:
		for i := 0; children.Next(); i++ {
			element := fmt.Sprintf("%s[%d]", path, i)
			ix.note(element, children.Node())
			ix.value(element, children.Node())
		}
	}
}

func (ix *placeIndex) note(path string, node *unstable.Node) {
	if _, noted := ix.at[path]; noted || node.Raw.Length == 0 {
		return // [[coating.test]] names coating again, which stands further up
	}
	start := ix.parser.Shape(node.Raw).Start
	ix.at[path] = place{start.Line, start.Column}
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}
