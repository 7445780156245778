package report_test

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
)

var (
	streams = regexp.MustCompile(`(?s)<<([^>]*/Filter /FlateDecode[^>]*)>>\s*stream\r?\n(.*?)\r?\nendstream`)
	written = regexp.MustCompile(`(?s)\((.*)\) ?Tj`)
	squares = regexp.MustCompile(`^[-0-9.]+ [-0-9.]+ ([-0-9.]+) -([-0-9.]+) re f$`)
	images  = regexp.MustCompile(`(?s)/Subtype /Image\s*/Width (\d+)\s*/Height (\d+)`)
	boxes   = regexp.MustCompile(`/MediaBox ?\[[^\]]*\]`)
	names   = regexp.MustCompile(`/[FI][0-9a-f]{40}`)     // of fonts and pictures, from their bytes
	fine    = regexp.MustCompile(`\b[0-9]+\.[0-9]{4,}\b`) // a length in points, finer than print
)

// drawnOn is what the pages of a PDF have on them, in the order it is drawn: the operators of its content
// streams with their text as text, the squares of a QR code counted, pictures by their size. How streams
// are packed and fonts are cut down is left out. Source of the operators: ISO 32000-1, annex A.
func drawnOn(t *testing.T, pdf []byte) string {
	var out strings.Builder
	for _, box := range boxes.FindAll(pdf, -1) {
		fmt.Fprintf(&out, "%s\n", box)
	}
	for _, m := range images.FindAllSubmatch(pdf, -1) {
		fmt.Fprintf(&out, "picture of %s × %s\n", m[1], m[2])
	}
	pages := 0
	for _, m := range streams.FindAllSubmatch(pdf, -1) {
		if bytes.Contains(m[1], []byte("/Length1")) || bytes.Contains(m[1], []byte("/Subtype")) {
			continue // a font or a picture
		}
		r, err := zlib.NewReader(bytes.NewReader(m[2]))
		require.NoError(t, err)
		content, err := io.ReadAll(r)
		require.NoError(t, err)
		if !bytes.Contains(content, []byte(" Td ")) {
			continue // a table of a font
		}
		pages++
		fmt.Fprintf(&out, "\npage %d\n", pages)
		operators(t, &out, content)
	}
	require.Positive(t, pages, "no page was found")
	return named(out.String())
}

// named has fonts and pictures numbered as they come, and lengths no finer than a hundredth of a point.
func named(drawn string) string {
	seen := map[string]string{}
	drawn = names.ReplaceAllStringFunc(drawn, func(name string) string {
		if seen[name] == "" {
			seen[name] = fmt.Sprintf("%s%d", name[:2], len(seen)+1)
		}
		return seen[name]
	})
	return fine.ReplaceAllStringFunc(drawn, func(length string) string {
		v, err := strconv.ParseFloat(length, 64)
		if err != nil {
			panic(err) // the pattern is of figures
		}
		return fmt.Sprintf("%.2f", v)
	})
}

// operators writes a content stream a line to an operator, or to what the library puts on one line.
func operators(t *testing.T, out *strings.Builder, content []byte) {
	count, side := 0, ""
	told := func() {
		if count > 0 {
			fmt.Fprintf(out, "%d rectangles of %s\n", count, side)
		}
		count = 0
	}
	for _, line := range lines(content) {
		if m := squares.FindSubmatch(line); m != nil && string(m[1]) == string(m[2]) {
			if size := string(m[1]); count == 0 || size == side {
				count, side = count+1, size
				continue
			}
		}
		told()
		if m := written.FindSubmatch(line); m != nil {
			line = bytes.Replace(line, m[1], []byte(unescaped(t, m[1])), 1)
		}
		fmt.Fprintf(out, "%s\n", line)
	}
	told()
}

// lines splits at line ends that stand in no string.
func lines(content []byte) (all [][]byte) {
	start, inside, escape := 0, false, false
	for i, c := range content {
		switch {
		case escape:
			escape = false
		case c == '\\':
			escape = true
		case c == '(':
			inside = true
		case c == ')':
			inside = false
		case c == '\n' && !inside:
			all, start = append(all, content[start:i]), i+1
		}
	}
	return append(all, content[start:])
}

// unescaped is a string of two-octet letters as text.
func unescaped(t *testing.T, s []byte) string {
	var raw []byte
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+1 < len(s) {
			i++
			if s[i] == 'r' {
				raw = append(raw, '\r')
				continue
			}
		}
		raw = append(raw, s[i])
	}
	require.Zero(t, len(raw)%2, "%q", raw)
	var units []uint16
	for i := 0; i < len(raw); i += 2 {
		units = append(units, uint16(raw[i])<<8|uint16(raw[i+1]))
	}
	return string(utf16.Decode(units))
}
