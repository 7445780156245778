// Package terminal is what stands between the program's text and a screen. A Writer lets nothing through that could steer
// a terminal but the swatches that Swatch makes and the code that QRLine makes; both only where the screen can show them.
//
// Names of pieces, photos and coatings come from files of other people. A control or direction character in one could
// recolour the screen, move its cursor or turn a line round; a Writer spells it out instead, as \u202e.
package terminal

import (
	"fmt"
	"io"
	"os"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/charmbracelet/colorprofile"
	"golang.org/x/term"

	"huewright/colour"
)

// SwatchWidth is how many columns a swatch takes: those of the hex code that stands for it where a screen shows no colours.
const SwatchWidth = len("#rrggbb")

// patch is a swatch without its colour.
var patch = strings.Repeat(" ", SwatchWidth)

// Swatch is a patch of a colour as a screen shows it, SwatchWidth wide.
func Swatch(c colour.RGB8) string {
	return fmt.Sprintf("\x1b[48;2;%d;%d;%dm%s\x1b[0m", c.R, c.G, c.B, patch)
}

// QRLine is a line of a two-dimensional code, made of spaces and half blocks, dark on light.
func QRLine(blocks string) string { return "\x1b[30;107m" + blocks + "\x1b[0m" }

// ours are the only escape sequences that a Writer knows: those of Swatch and QRLine, whole. The hex code that may follow
// a swatch says the same as the swatch does.
var ours = regexp.MustCompile(`\x1b\[48;2;(\d{1,3});(\d{1,3});(\d{1,3})m {7}\x1b\[0m([ ,]*#[0-9a-f]{6})?` +
	`|\x1b\[30;107m([ █▀▄]+)\x1b\[0m`)

// A Writer passes text on to a screen, a file or another program.
type Writer struct {
	to      io.Writer
	show    colorprofile.Profile
	columns int    // that the environment speaks of; 0 where it does not
	rest    []byte // the beginning of a character whose end has not come yet
}

// NewWriter is a Writer to to. Escape sequences come through only where to is a terminal that shows colours and the
// environment does not speak against them: TERM=dumb, or NO_COLOR with any value.
func NewWriter(to io.Writer, environ []string) *Writer {
	w := &Writer{to: to, show: colorprofile.Detect(to, environ)}
	for _, e := range environ {
		switch name, value, _ := strings.Cut(e, "="); {
		case name == "NO_COLOR" && value != "", name == "TERM" && value == "dumb":
			w.show = colorprofile.NoTTY
		case name == "COLUMNS":
			w.columns, _ = strconv.Atoi(value) // 0 where that is no number
		}
	}
	return w
}

// Write passes p on. A swatch has to come in one piece; what else comes may be split anywhere.
func (w *Writer) Write(p []byte) (int, error) {
	text := append(w.rest, p...)
	whole := len(text)
	for back := 1; back < utf8.UTFMax && back <= len(text); back++ {
		if from := len(text) - back; utf8.RuneStart(text[from]) {
			if !utf8.FullRune(text[from:]) {
				whole = from
			}
			break
		}
	}
	w.rest = append([]byte(nil), text[whole:]...)
	if _, err := io.WriteString(w.to, w.shown(string(text[:whole]))); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Flush passes on what is left of a character that never came to its end.
func (w *Writer) Flush() error {
	if len(w.rest) == 0 {
		return nil
	}
	w.rest = nil
	_, err := io.WriteString(w.to, string(utf8.RuneError))
	return err
}

// Screen is the terminal that is written to; nil where it is none, or one that cannot move its cursor.
func (w *Writer) Screen() *os.File {
	if f, ok := w.to.(*os.File); ok && w.show > colorprofile.NoTTY && term.IsTerminal(int(f.Fd())) {
		return f
	}
	return nil
}

// The widths that text is laid out for, in columns.
const (
	widest    = 80
	narrowest = 40
)

// Width is how many columns text may have: what the variable COLUMNS says, else what the terminal has, within 40 to 80.
func (w *Writer) Width() int {
	n := w.columns
	if f, ok := w.to.(*os.File); n <= 0 && ok {
		n, _, _ = term.GetSize(int(f.Fd())) // 0 where it is no terminal
	}
	if n <= 0 {
		return widest
	}
	return min(max(n, narrowest), widest)
}

// shown is text as the screen may have it.
func (w *Writer) shown(text string) string {
	var out strings.Builder
	at := 0
	for _, m := range ours.FindAllStringSubmatchIndex(text, -1) {
		out.WriteString(spelt(text[at:m[0]]))
		group := func(n int) string {
			if m[2*n] < 0 {
				return ""
			}
			return text[m[2*n]:m[2*n+1]]
		}
		if blocks := group(5); blocks != "" {
			out.WriteString(w.blocks(blocks))
		} else {
			c := colour.RGB8{R: level(group(1)), G: level(group(2)), B: level(group(3))}
			out.WriteString(w.swatch(c, group(4)))
		}
		at = m[1]
	}
	out.WriteString(spelt(text[at:]))
	return out.String()
}

func (w *Writer) blocks(line string) string {
	if w.show < colorprofile.ANSI {
		return line
	}
	return QRLine(line)
}

// swatch is a colour where the screen can show it, and its hex code where it cannot; said is the hex code that follows.
func (w *Writer) swatch(c colour.RGB8, said string) string {
	if w.show == colorprofile.TrueColor {
		return Swatch(c) + said
	}
	if w.show == colorprofile.ANSI256 {
		if n, near := nearest(c); near {
			return fmt.Sprintf("\x1b[48;5;%dm%s\x1b[0m", n, patch) + said
		}
	}
	if strings.TrimLeft(said, " ,") == c.Hex() {
		return c.Hex()
	}
	return c.Hex() + said
}

func level(digits string) uint8 {
	n, _ := strconv.Atoi(digits) // three digits at most
	return uint8(min(n, 255))
}

// spelt is text with all in it that could steer a terminal spelt out as JSON would, so that JSON stays what it was.
func spelt(text string) string {
	if strings.IndexFunc(text, steers) < 0 && utf8.ValidString(text) {
		return text
	}
	var out strings.Builder
	for _, r := range text { // a byte that is no text becomes U+FFFD
		if !steers(r) {
			out.WriteRune(r)
			continue
		}
		if r > 0xFFFF {
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&out, `\u%04x\u%04x`, high, low)
			continue
		}
		fmt.Fprintf(&out, `\u%04x`, r)
	}
	return out.String()
}

// steers reports whether a character acts on the screen or on the text round it instead of being seen: control characters
// but for the tab and the end of a line, those that set the direction of writing, separators of lines, and tags.
func steers(r rune) bool {
	switch {
	case r == '\n' || r == '\t':
		return false
	case unicode.Is(unicode.Cc, r), unicode.Is(unicode.Bidi_Control, r), unicode.In(r, unicode.Zl, unicode.Zp):
		return true
	}
	return r == '\uFEFF' || r >= 0xE0000 && r <= 0xE007F
}
