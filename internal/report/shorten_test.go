package report

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func TestMiddleCut(t *testing.T) {
	for name, short := range map[string]string{
		"red-brown glaze": "red-brown glaze",
		"thinned nut-brown wash of last spring, stirred from two tins": "thinned…two tins",
		"Donaudampfschifffahrtsgesellschaftskapitän":                   "Donaudampf…tskapitän",
		"ä long ñame öf the panels":                                    "ä long…panels",
	} {
		got := middleCut(name, mostShortened)
		require.Equal(t, short, got)
		require.LessOrEqual(t, utf8.RuneCountInString(got), mostShortened)
	}
}

// Long names that read alike once they are cut stay apart, and what stood before stays whole.
func TestShortenedNamesStayApart(t *testing.T) {
	p := page{}
	left, right := "door of the upper cabinet on the left, inside", "door of the upper cabinet on the right, inside"
	p.wrapped("", left)
	p.shorten([]string{left, right, "panel"})
	p.wrapped("", left+"; "+right+"; panel")
	lines := strings.Split(p.String(), "\n")
	require.Equal(t, left, lines[0])
	one, rest, _ := strings.Cut(lines[1], "; ")
	other, panel, _ := strings.Cut(rest, "; ")
	require.NotEqual(t, one, other)
	require.Contains(t, one, "…")
	require.Contains(t, other, "…")
	require.Equal(t, "panel", panel)
}

// Paragraphs that run on are one, and end where something else begins.
func TestParagraphsRunOn(t *testing.T) {
	p := page{brevity: runOn}
	p.wrapped("", "One.")
	p.wrapped("", "Two.")
	p.line("--")
	p.wrapped("", "Three.")
	p.endRun()
	var b bytes.Buffer
	require.NoError(t, p.writeTo(&b))
	require.Equal(t, "One. Two.\n--\nThree.\n", b.String())
}
