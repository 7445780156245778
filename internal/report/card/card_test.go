package card

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/figure"
	"huewright/internal/words"
)

// cardOf is a card of so many areas with much to say about each.
func cardOf(areas int, name string) *Sheet {
	c := &Sheet{
		Title: name, Date: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC), Ref: "music cabinet #17",
		Note: "Colours hold for daylight. Printed swatches are a guide only.", First: "The label comes first.",
		Photos: []image.Image{image.NewNRGBA(image.Rect(0, 0, 800, 600))},
		Mixes: []string{"nut-brown wash: 11.5 fl oz in one batch, of 2.3 fl oz paint and 9.2 fl oz thinner; 15 % of it is spare for " +
			"touch-ups", "amber glaze: 60 ml in one batch; 15 % of it is spare for touch-ups"},
		Ready:    "dry enough to touch with care: Tuesday, 17 March, 04:00",
		Warnings: []string{"too cold for nut-brown wash: 12 °C, and it needs 18 °C at least; bring it in, or wait"},
	}
	for _, k := range schedule.Cautions(schedule.Circumstance{Unknown: true}) {
		c.Matters = append(c.Matters, Caution{k.Key, words.Speaker{}.Say(k.Danger) + " " + words.Speaker{}.Hint(k.Danger)})
	}
	for i := range areas {
		c.Areas = append(c.Areas, Area{
			Number: i + 1, Name: fmt.Sprintf("%s %d", name, i+1), About: "ash, sealed, 6.7 ft²",
			Coats: "3 coats of nut-brown wash (2 to 4), then 1 coat of amber glaze",
			Stop:  "stop and look after coat 2: the next could go too far", Left: "ΔE00 2.4 from the target, from 28.8",
			Swatches: []Swatch{
				{"now", colour.Lab{L: 77, A: 4, B: 23}}, {"after the coats", colour.Lab{L: 44, A: 14, B: 24}},
				{"target", colour.Lab{L: 42, A: 15, B: 21}},
			},
		})
	}
	for day := range 3 {
		d := Day{Day: fmt.Sprintf("Saturday, %d March", 14+day)}
		for i := range 3 {
			d.Steps = append(
				d.Steps,
				Step{
					Time: fmt.Sprintf("%02d:00", 9+4*i), What: fmt.Sprintf("coat %d of nut-brown wash on %s 1, %s 2", i+1, name, name),
					Notes: []string{"stop and look first", "not after Sun 11:00"},
				},
			)
		}
		c.Days = append(c.Days, d)
	}
	return c
}

func pages(pdf []byte) int { return bytes.Count(pdf, []byte("/Type /Page\n")) }

func TestCardHasOnePageOrTwo(t *testing.T) {
	cards := 0
	long := strings.Repeat("The left door of the uncommonly long cabinet ", 4)
	for _, paper := range Papers {
		for _, name := range []string{"frame", long[:60], long, strings.Repeat("W", 150)} {
			for areas, want := range map[int]int{0: 1, 1: 1, 4: 1, 6: 1, 7: 2, 12: 2} {
				if areas > 6 && name == long {
					continue // names of 180 letters in twelve areas and nine steps may take a third
				}
				if areas >= 4 && len(name) >= 60 {
					want = 2 // the whole schedule names them all
				}
				var out bytes.Buffer
				require.NoError(t, PDF(&out, cardOf(areas, name), paper))
				got := pages(out.Bytes())
				require.LessOrEqual(t, got, want, "%d areas on %s, %.10s", areas, paper, name)
				require.Positive(t, got)
				cards++
				require.Contains(t, out.String(), "/FontFile2", "fonts are in it")
				require.Contains(t, out.String(), "/ToUnicode", "text is text")
				if dir := os.Getenv("HUEWRIGHT_CARDS"); dir != "" { // to be looked at
					require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%d-%.5s.pdf", paper, areas, name)), out.Bytes(), 0o644))
				}
			}
		}
	}
	figure.Report(t, "cards", "all %d", cards)
}

func TestCardTextCanBeSearched(t *testing.T) {
	text := textOf(t, cardOf(3, "frame"))
	for _, s := range []string{
		"frame 2", "3 coats of nut-brown wash (2 to 4)", "ΔE00 2.4 from the target", "L* 77", "6.7 ft²", "12 °C", "Notes",
		"music cabinet #17",
	} {
		require.Contains(t, text, s)
	}
}

// However much a card has to say, no caution is cut off: what has no room beside the photo goes under it.
func TestNoCautionIsCutOff(t *testing.T) {
	c := cardOf(8, "frame")
	for i := range 60 {
		text := strings.Repeat("stand well back from it and open the windows on two sides of the room ", 3)
		c.Matters = append(c.Matters, Caution{fmt.Sprintf("danger %d", i), fmt.Sprintf("%send%d.", text, i)})
	}
	text := textOf(t, c)
	for i := range 60 {
		require.Contains(t, text, fmt.Sprintf("end%d.", i))
	}
	for _, k := range c.Matters[:len(c.Matters)-60] {
		require.Contains(t, text, strings.Join(strings.Fields(k.Text)[len(strings.Fields(k.Text))-1:], " "))
	}
}

// textOf is what a reader of PDF finds on the pages of a card.
func textOf(t *testing.T, c *Sheet) string {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here")
	}
	var out bytes.Buffer
	require.NoError(t, PDF(&out, c, "A4"))
	path := filepath.Join(t.TempDir(), "card.pdf")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	text, err := exec.Command(reader, "-layout", path, "-").Output()
	require.NoError(t, err)
	return string(text)
}

func TestCardIsTheSameEachTime(t *testing.T) {
	var one, two bytes.Buffer
	require.NoError(t, PDF(&one, cardOf(3, "frame"), "A4"))
	require.NoError(t, PDF(&two, cardOf(3, "frame"), "A4"))
	require.Equal(t, one.Bytes(), two.Bytes())
}

func TestCardPageNeedsNothingElse(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, HTML(&out, cardOf(3, `<script>alert("x")</script>`), "Letter"))
	page := out.String()
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "http")
	require.Contains(t, page, "size: Letter")
	require.Contains(t, page, "&lt;script&gt;")
	require.Contains(t, page, "L* 77  a* 4  b* 23", "figures beside every swatch")
}
