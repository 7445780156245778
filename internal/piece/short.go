package piece

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
)

// share is one part of a mix: how much, of what.
const share = `(\d+(?:\.\d+)?) (?:parts? )?(paint|water|thinner)`

var (
	ratio = regexp.MustCompile(`^(\d+(?:\.\d+)?) ?(?::|to) ?(\d+(?:\.\d+)?)$`)
	mixed = regexp.MustCompile(`^` + share + ` ?(?:,|\+|:|to|and) ?` + share + `$`)
)

// ParseDilution reads a mix by volume, as "1 paint, 4 water", "1 part paint to 4 parts water" or "1:4", the paint first, or
// "undiluted".
func ParseDilution(text string) (Dilution, error) {
	plain := strings.Join(strings.Fields(strings.ToLower(text)), " ")
	first, second := "", ""
	if m := ratio.FindStringSubmatch(plain); m != nil {
		first, second = m[1], m[2]
	} else if m := mixed.FindStringSubmatch(plain); m != nil && (m[2] == "paint") != (m[4] == "paint") {
		first, second = m[1], m[3]
		if m[4] == "paint" {
			first, second = second, first
		}
	}
	paint, wrong := strconv.ParseFloat(first, 64)
	water, alsoWrong := strconv.ParseFloat(second, 64)
	switch {
	case plain == "undiluted":
		return Dilution{Paint: 1}, nil
	case wrong != nil || alsoWrong != nil:
		return Dilution{}, fault.New(fault.Use, "piece.dilution-text", "text", text)
	}
	return Dilution{paint, water}, nil
}

var part = regexp.MustCompile(`^(\d+(?:\.\d+)?) (?:parts? (?:of )?)?(\S.*)$`)

// ParseParts reads what a mix was stirred together of, as "5 titanium white, 1 burnt umber" or "5 parts of titanium white, 1 part of burnt
// umber".
func ParseParts(text string) (all []MixPart, err error) {
	plain := strings.Join(strings.Fields(text), " ")
	for each := range strings.SplitSeq(plain, ",") {
		m := part.FindStringSubmatch(strings.TrimSpace(each))
		if m == nil {
			return nil, fault.New(fault.Use, "piece.parts-text", "text", text)
		}
		n, err := strconv.ParseFloat(m[1], 64)
		if err != nil { // a number beyond all bounds
			return nil, fault.New(fault.Use, "piece.parts-text", "text", text)
		}
		all = append(all, MixPart{m[2], n})
	}
	return all, nil
}

// ParseSource reads where a colour comes from: a code as "#7a5a40", L*, a*, b* as "44, 14, 20", or an outline.
func ParseSource(text string) (ColourSource, error) {
	text = strings.TrimSpace(text)
	if strings.HasPrefix(text, "#") {
		_, err := colour.ParseHex(text)
		return ColourSource{Hex: text}, err
	}
	if figures := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(", ;", r) }); len(figures) == 3 {
		lab := make([]float64, len(figures))
		var err error
		for i := 0; i < len(lab) && err == nil; i++ {
			lab[i], err = strconv.ParseFloat(figures[i], 64)
		}
		if err == nil {
			return ColourSource{Lab: lab}, CheckLab(lab)
		}
	}
	if !strings.Contains(text, ",") {
		return ColourSource{}, fault.New(fault.Use, "piece.source-text", "text", text)
	}
	_, err := imageio.ParseOutline(text)
	return ColourSource{Outline: text}, err
}

// PhotoName is what a photo is called that has no name of its own: its file's name without folder and ending.
func PhotoName(file string) string {
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}

// An edit puts text in the place of some bytes of a document.
type edit struct {
	at, length int
	text       string
}

// short reads text that stands for a group of keys, and notes the group to be put in its place. It reports whether text may
// stand for what the key takes.
func (s *structure) short(path string, of reflect.Type, node *unstable.Node) bool {
	text := string(node.Data)
	var group string
	var err error
	switch of {
	case reflect.TypeFor[Dilution]():
		var d Dilution
		d, err = ParseDilution(text)
		group = fmt.Sprintf("{paint = %g, water = %g}", d.Paint, d.Water)
	case reflect.TypeFor[[]MixPart]():
		var parts []MixPart
		parts, err = ParseParts(text)
		group = partsGroup(parts)
	case reflect.TypeFor[ColourSource]():
		var c ColourSource
		c, err = ParseSource(text)
		group = c.group()
	case reflect.TypeFor[Photo]():
		group = photoGroup(text)
	case reflect.TypeFor[[]Photo]():
		group = "[" + photoGroup(text) + "]"
	default:
		return false
	}
	if strings.TrimSpace(text) == "" {
		err = fault.New(fault.Use, "piece.no-value", "key", lastKey(path))
	}
	if err != nil {
		s.refuseAs(s.placeOf(path), fault.Of(err))
	}
	s.edits = append(s.edits, edit{int(node.Raw.Offset), int(node.Raw.Length), group})
	return true
}

// inFull is a document with every short text put as the group of keys that it stands for.
func (s *structure) inFull(data []byte) []byte {
	var full []byte
	from := 0
	for _, e := range s.edits {
		full = append(append(full, data[from:e.at]...), e.text...)
		from = e.at + e.length
	}
	return append(full, data[from:]...)
}

// group is a source that was read from text as a group of keys.
func (c *ColourSource) group() string {
	switch {
	case c.Hex != "":
		return "{hex = " + Quoted(c.Hex) + "}"
	case len(c.Lab) == 3:
		return fmt.Sprintf("{lab = [%g, %g, %g]}", c.Lab[0], c.Lab[1], c.Lab[2])
	}
	return "{outline = " + Quoted(c.Outline) + "}"
}

func partsGroup(all []MixPart) string {
	var parts []string
	for _, p := range all {
		parts = append(parts, fmt.Sprintf("{coating = %s, parts = %g}", Quoted(p.Coating), p.Parts))
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

func photoGroup(file string) string {
	return "{name = " + Quoted(PhotoName(file)) + ", file = " + Quoted(file) + "}"
}

// Quoted is a text between quotes, as a piece file has it. What JSON writes so is a string of TOML too, but for the letter of
// deletion, which TOML has escaped.
func Quoted(text string) string {
	written, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string
	}
	return strings.ReplaceAll(string(written), "\x7f", `\u007f`)
}
