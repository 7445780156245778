package terminal

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/colorprofile"
	"github.com/stretchr/testify/require"

	"huewright/colour"
)

var walnut = colour.RGB8{R: 0x5a, G: 0x40, B: 0x30}

func through(t *testing.T, w *Writer, text string) string {
	t.Helper()
	var out bytes.Buffer
	w.to = &out
	n, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.Equal(t, len(text), n)
	require.NoError(t, w.Flush())
	return out.String()
}

// TTY_FORCE makes the library take the buffer for a terminal.
func TestSwatchesAreShownOnlyWhereTheyCanBe(t *testing.T) {
	line := "frame  " + Swatch(walnut) + "  L* 29.6\n"
	plain := "frame  #5a4030  L* 29.6\n"
	for name, c := range map[string]struct {
		environ []string
		want    string
	}{
		"16 million colours": {[]string{"TTY_FORCE=1", "TERM=xterm-256color", "COLORTERM=truecolor"}, line},
		"16 colours":         {[]string{"TTY_FORCE=1", "TERM=vt220"}, plain},
		"dumb":               {[]string{"TTY_FORCE=1", "TERM=dumb"}, plain},
		"dumb, forced":       {[]string{"TTY_FORCE=1", "TERM=dumb", "CLICOLOR_FORCE=1", "COLORTERM=truecolor"}, plain},
		"no colour wanted":   {[]string{"TTY_FORCE=1", "TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR=1"}, plain},
		"any value says so":  {[]string{"TTY_FORCE=1", "TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR=please"}, plain},
		"no value says none": {[]string{"TTY_FORCE=1", "TERM=xterm-256color", "COLORTERM=truecolor", "NO_COLOR="}, line},
		"no terminal":        {[]string{"TERM=xterm-256color", "COLORTERM=truecolor"}, plain},
		"nothing is known":   {nil, plain},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, c.want, through(t, NewWriter(&bytes.Buffer{}, c.environ), line))
		})
	}
}

// A palette colour is taken only where the swatch would be seen as the same colour; everywhere else stands the hex code.
func TestPaletteColoursAreNear(t *testing.T) {
	number := regexp.MustCompile(`^\x1b\[48;5;(\d+)m       \x1b\[0m$`)
	shown, codes := 0, 0
	for r := 0; r < 256; r += 15 {
		for g := 0; g < 256; g += 15 {
			for b := 0; b < 256; b += 15 {
				c := colour.RGB8{R: uint8(r), G: uint8(g), B: uint8(b)}
				out := through(t, &Writer{show: colorprofile.ANSI256}, Swatch(c))
				m := number.FindStringSubmatch(out)
				if m == nil {
					require.Equal(t, c.Hex(), out)
					codes++
					continue
				}
				var n int
				require.NoError(t, json.Unmarshal([]byte(m[1]), &n))
				require.GreaterOrEqual(t, n, 16, "the first 16 are the owner's")
				require.LessOrEqual(t, colour.DeltaE2000(c.Linear().Lab(), paletteColour(n).Linear().Lab()), 3.0)
				shown++
			}
		}
	}
	require.Positive(t, shown)
	require.Positive(t, codes)
	require.Equal(t, "\x1b[48;5;16m       \x1b[0m", through(t, &Writer{show: colorprofile.ANSI256}, Swatch(colour.RGB8{})))
}

func TestACodeThatFollowsIsNotSaidTwice(t *testing.T) {
	text := "see \"what to buy\" (" + Swatch(walnut) + ", #5a4030)"
	require.Equal(t, "see \"what to buy\" (#5a4030)", through(t, &Writer{show: colorprofile.ANSI}, text))
	require.Equal(t, text, through(t, &Writer{show: colorprofile.TrueColor}, text))
	require.Equal(t, "#5a4030, #8a4a2e", through(t, &Writer{}, Swatch(walnut)+", #8a4a2e"))
}

func TestQRLines(t *testing.T) {
	line := "  " + QRLine(" █▀▄ ") + "\n"
	require.Equal(t, line, through(t, &Writer{show: colorprofile.ANSI}, line))
	require.Equal(t, "   █▀▄ \n", through(t, &Writer{show: colorprofile.NoTTY}, line))
}

// steering is text that acts on a screen or turns a line round, with what stands there instead.
var steering = map[string]string{
	"\x1b[31mred":                `\u001b[31mred`,
	"\x1b]0;title\a":             `\u001b]0;title\u0007`,
	"\x1b[2J":                    `\u001b[2J`,
	"over\rwritten":              `over\u000dwritten`,
	"back\b\b\b\bspace":          `back\u0008\u0008\u0008\u0008space`,
	"\u009b31m":                  `\u009b31m`,
	"\x9b31m":                    "\ufffd31m",
	"gpj.\u202eexe":              `gpj.\u202eexe`,
	"\u2066a\u2069":              `\u2066a\u2069`,
	"a\u2028b":                   `a\u2028b`,
	"\U000e0041":                 `\udb40\udc41`,
	"\x1b[48;2;1;2;3m":           `\u001b[48;2;1;2;3m`,
	"\x1b[48;2;1;2;3mx\x1b[0m":   `\u001b[48;2;1;2;3mx\u001b[0m`,
	"\x1b[30;107mno code\x1b[0m": `\u001b[30;107mno code\u001b[0m`,
	"\x7f":                       `\u007f`,
	"Esche, ash, 水曲柳, ясень\tand\n": "Esche, ash, 水曲柳, ясень\tand\n",
}

func TestNothingSteersTheScreen(t *testing.T) {
	for text, want := range steering {
		for _, show := range []colorprofile.Profile{colorprofile.NoTTY, colorprofile.ANSI, colorprofile.ANSI256, colorprofile.TrueColor} {
			require.Equal(t, want, through(t, &Writer{show: show}, text))
		}
	}
}

// JSON that holds such text means the same behind a Writer as before it.
func TestJSONStaysWhatItWas(t *testing.T) {
	for text := range steering {
		if !utf8.ValidString(text) {
			continue
		}
		data, err := json.Marshal(map[string]string{"name": text})
		require.NoError(t, err)
		var back map[string]string
		require.NoError(t, json.Unmarshal([]byte(through(t, &Writer{show: colorprofile.TrueColor}, string(data))), &back))
		require.Equal(t, text, back["name"])
	}
}

func TestCharactersMayComeInParts(t *testing.T) {
	const text = "Δ 水曲柳 \U0001F33F\n"
	for cut := range len(text) {
		var out bytes.Buffer
		w := &Writer{to: &out}
		for _, part := range []string{text[:cut], text[cut:]} {
			_, err := w.Write([]byte(part))
			require.NoError(t, err)
		}
		require.Equal(t, text, out.String())
	}
	require.Equal(t, "half \ufffd", through(t, &Writer{}, "half \xe6\xb0"))
}

func TestWidth(t *testing.T) {
	for said, want := range map[string]int{"": 80, "60": 60, "12": 40, "200": 80, "-3": 80, "wide": 80} {
		require.Equal(t, want, NewWriter(&bytes.Buffer{}, []string{"COLUMNS=" + said}).Width())
	}
	require.Equal(t, 80, NewWriter(&bytes.Buffer{}, nil).Width())
}

func FuzzWriter(f *testing.F) {
	for text := range steering {
		f.Add(text)
	}
	f.Add(Swatch(walnut) + ", #5a4030")
	swatch := regexp.MustCompile(`\x1b\[48;2;\d{1,3};\d{1,3};\d{1,3}m       \x1b\[0m|\x1b\[30;107m[ █▀▄]+\x1b\[0m`)
	f.Fuzz(func(t *testing.T, text string) {
		out := through(t, &Writer{show: colorprofile.TrueColor}, text)
		for _, r := range swatch.ReplaceAllString(out, "") {
			require.False(t, unicode.IsControl(r) && r != '\n' && r != '\t', "%q", out)
			require.False(t, unicode.Is(unicode.Bidi_Control, r), "%q", out)
		}
		require.False(t, strings.ContainsRune(through(t, &Writer{}, text), '\x1b'))
	})
}
