package piece

import (
	"bytes"
	"errors"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"

	"huewright/internal/fault"
)

var utf8Mark = []byte("\xef\xbb\xbf") // before the text, as some editors put it

// Read reads and checks a piece file, of which path is the name. Keys it does not know, values that
// make no sense and names that nothing bears are each a fault with line and column.
func Read(path string, data []byte, limits Limits) (*Piece, error) {
	data = bytes.TrimPrefix(data, utf8Mark)
	if f := notText(data); f != nil {
		return nil, fault.In(f, fault.Place{File: path, Line: 1, Column: 1})
	}
	var piece Piece
	structure := readStructure(data)
	if structure.whole && structure.fault == nil {
		data = structure.inFull(data)
	}
	err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(&piece)
	if structure.fault != nil || err != nil {
		f := structure.decodeFault(data, err)
		f.Place.File = path
		return nil, f
	}
	check := checker{piece: &piece, file: path, limits: limits, places: structure.at}
	if err := check.run(); err != nil {
		return nil, err
	}
	return &piece, nil
}

// notText is the fault of what is no text in UTF-8, or no text at all; nil where it is one.
func notText(data []byte) *fault.Fault {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}), bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return fault.New(fault.Use, "piece.other-coding")
	case !utf8.Valid(data), bytes.IndexByte(data, 0) >= 0:
		return fault.New(fault.Use, "piece.not-text")
	case len(bytes.TrimSpace(data)) == 0:
		return fault.New(fault.Use, "piece.empty")
	}
	return nil
}

// ValidateWithin checks a piece that was not read from a file.
func (p *Piece) ValidateWithin(l Limits) error {
	c := checker{piece: p, limits: l}
	return c.run()
}

// decodeFault is the fault of a document that is not a piece: the first key, value or heading that does not fit it, or
// else the line that is no TOML, where err is the decoder's.
func (s *structure) decodeFault(data []byte, err error) *fault.Fault {
	if s.fault != nil && s.whole {
		return s.fault.Because(err)
	}
	var wrong *toml.DecodeError
	if errors.As(err, &wrong) {
		line, column := wrong.Position()
		return syntaxFault(data, line, column).Because(err)
	}
	return fault.New(fault.Use, "piece.syntax").Because(err)
}
