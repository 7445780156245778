package card

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/figure"
	"huewright/internal/words"
)

// cardOf is a card of so many areas with much to say about each: two coatings, a stop, a seal, whatever caution there is.
func cardOf(areas int, name string) *Sheet {
	photo := image.NewNRGBA(image.Rect(0, 0, 800, 600))
	for y := range 600 {
		for x := range 800 {
			photo.Set(x, y, color.NRGBA{uint8(120 + x/16), uint8(90 + y/16), 70, 255})
		}
	}
	c := &Sheet{
		Title: name, Date: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC), Ref: "music cabinet #17", First: "The label, the safety data sheet " +
			"and your local rules come before anything said here. Leave lead and asbestos to people licensed for them.",
		Note: "Colours hold for daylight (D65, 2° observer). Colours are as they look under the clear coat. By a warm lamp area 1 will be a " +
			"little less red and a touch lighter than area 3 (about ΔE00 4.5, by day 3.9). A guess from three numbers. Printed swatches are a " +
			"guide only.", Photos: []image.Image{photo},
		Mixes: []Mix{
			{"A", "nut-brown wash", "1 part paint to 4 parts water", "340 ml: 68 ml paint and 272 ml water (15 % spare)."},
			{"B", "amber glaze", "undiluted", "60 ml (15 % spare)."},
		},
		Other:    "Or keep more of the grain: 2 coats of nut-brown wash on areas 1 and 3. Then you will see a difference at arm's length.",
		Ready:    "Dry enough to touch with care: Tuesday, 17 March, 04:00.",
		Warnings: []string{"Too cold for nut-brown wash: 12 °C, and it needs 18 °C at least. Bring it in, or wait."},
	}
	for _, k := range schedule.Cautions(schedule.Circumstance{Unknown: true}) {
		if k.Matters {
			c.Matters = append(c.Matters, Caution{k.Key, words.Speaker{}.Say(k.Danger) + " " + words.Speaker{}.Hint(k.Danger)})
		}
	}
	for i, what := range []string{
		"Test every layer on all areas for lead", "Clean and degrease all areas; rinse, let dry",
		"Test all areas for bleed-through: rub with a damp white cloth", "Sand areas 1 and 3, up to 220 grit, along the grain",
		"Rub down areas 2 and 4 with 320 grit or a grey pad", "Test spot: one coat where it does not show; when dry, press tape on and pull",
	} {
		c.Before = append(c.Before, Step{Time: fmt.Sprintf("Sat 14 Mar %02d:00", 8+i), What: what, Notes: []string{"New coats need tooth."}})
	}
	for i, what := range []string{
		"Coat 1 of water-borne clear over all", "Rub down all lightly with 320 grit or a grey pad",
		"Coat 2 of water-borne clear over all", "Dry to the touch; now let it cure",
	} {
		c.After = append(c.After, Step{Time: fmt.Sprintf("Mon 16 Mar %02d:00", 8+i), What: what})
	}
	for i := range areas {
		c.Areas = append(c.Areas, areaOf(i+1, fmt.Sprintf("%s %d", name, i+1)))
	}
	return c
}

func areaOf(number int, name string) Area {
	a := Area{
		Number: number, Name: name, About: "ash, sealed, 6.7 ft²", Count: "2+1", StopAt: 2,
		Coats: "2 coats of nut-brown wash (2 to 4), then 1 coat of amber glaze", Stop: "Stop after coat 2 and photograph it.",
		Left: "Side by side it will still be a little lighter and a touch yellower than the target (ΔE00 2.4, now 28.8).",
		Swatches: []Swatch{
			{"now", colour.Lab{L: 77, A: 4, B: 23}}, {"after the coats", colour.Lab{L: 44, A: 14, B: 24}},
			{"target", colour.Lab{L: 42, A: 15, B: 21}},
		},
		Steps: []Coat{
			{Number: 1, Letter: "A", Coating: "nut-brown wash", Lab: colour.Lab{L: 62, A: 10, B: 25}, Planned: "Sat 14:15"},
			{Number: 2, Letter: "A", Coating: "nut-brown wash", Lab: colour.Lab{L: 51, A: 12, B: 24}, Planned: "Sun 08:30", Scuffed: true},
			{Number: 3, Letter: "B", Coating: "amber glaze", Lab: colour.Lab{L: 44, A: 14, B: 24}, Planned: "Mon 08:30"},
		},
	}
	if number%3 != 2 {
		a.Steps[2].Seal = "Seal first with dewaxed shellac, Mon 08:15."
	}
	if number == 1 {
		a.Steps[2].Notes = []string{"Not after Tue 20:00."}
	}
	return a
}

// sixty is a name of 60 letters with the number behind it.
var sixty = "The left door of the uncommonly long cabinet by the window"

// A variant is a card on a paper, with how many pages it may have.
type variant struct {
	areas int
	name  string
	paper string
	pages int
}

func (v variant) String() string { return fmt.Sprintf("%d areas, %.12s, %s", v.areas, v.name, v.paper) }

// variants are cards of all sizes with short names and with names of 60 letters.
func variants() (all []variant) {
	for _, paper := range Papers {
		for _, name := range []string{"frame", sixty} {
			for areas, want := range map[int]int{0: 1, 1: 1, 3: 1, 4: 1, 6: 1, 7: 2, 9: 2} {
				all = append(all, variant{areas, name, paper, want})
			}
		}
	}
	return all
}

func pages(pdf []byte) int { return bytes.Count(pdf, []byte("/Type /Page\n")) }

func pdfOf(t *testing.T, s *Sheet, paper string) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, PDF(&out, s, paper))
	return out.Bytes()
}

// A card of six areas has one page, whatever they are called; one of more has two.
func TestCardHasOnePageOrTwo(t *testing.T) {
	cards := 0
	for _, v := range variants() {
		out := pdfOf(t, cardOf(v.areas, v.name), v.paper)
		require.Equal(t, v.pages, pages(out), "%v", v)
		require.Contains(t, string(out), "/FontFile2", "fonts are in it")
		require.Contains(t, string(out), "/ToUnicode", "text is text")
		cards++
		if dir := os.Getenv("HUEWRIGHT_CARDS"); dir != "" { // to be looked at
			require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%d-%.5s.pdf", v.paper, v.areas, v.name)), out, 0o644))
		}
	}
	figure.Report(t, "cards", "all %d", cards)
}

// No name makes more pages than the areas need, or stands over anything: not one of 180 letters, nor one of a single word.
func TestCardWithAnyName(t *testing.T) {
	for _, paper := range Papers {
		for _, name := range []string{strings.Repeat("The left door of the uncommonly long cabinet ", 4), strings.Repeat("W", 150)} {
			for areas, most := range map[int]int{1: 1, 4: 2, 6: 2, 12: 3} {
				c := layOut(cardOf(areas, name), paper)
				require.LessOrEqual(t, len(c.pages), most, "%d areas, %s", areas, paper)
				nothingOverAnything(t, c)
			}
		}
	}
}

// nothingOverAnything holds all text of a card to its box and its paper, and apart from all other text.
func nothingOverAnything(t *testing.T, c *canvas) (texts int) {
	t.Helper()
	const hair = 0.05 // mm
	inside := func(a, b rect) bool {
		return a.x >= b.x-hair && a.right() <= b.right()+hair && a.y >= b.y-hair && a.bottom() <= b.bottom()+hair
	}
	size := sizes[c.name]
	white := rect{margin, margin, size[0] - 2*margin, size[1] - 2*margin}
	for n, page := range c.pages {
		for i, m := range page {
			if !inside(m.rect, white) {
				t.Errorf("page %d: %q %v is off the paper", n+1, m.text, m.rect)
			}
			if m.text == "" {
				continue
			}
			texts++
			if m.points < leastPoints-1e-9 {
				t.Errorf("page %d: %q is of %.1f points", n+1, m.text, m.points)
			}
			if !inside(m.rect, m.frame) {
				t.Errorf("page %d: %q %v is out of its box %v", n+1, m.text, m.rect, m.frame)
			}
			for _, o := range page[:i] {
				if o.text == "" {
					continue
				}
				// A count has no letters under its base line and none with accents.
				over, under := inked(m), inked(o)
				if over.x < under.right()-hair && under.x < over.right()-hair && over.y < under.bottom()-hair && under.y < over.bottom()-hair {
					t.Errorf("page %d: %q %v lies over %q %v", n+1, m.text, over, o.text, under)
				}
			}
		}
	}
	return texts
}

// inked is where a text has ink: figures alone reach from their base line to the height of capitals.
func inked(m mark) rect {
	r, em := m.rect, m.points*mmPerPoint
	if strings.Trim(m.text, "0123456789+") == "" {
		r.y, r.h = r.y+(ascent-capHeight-0.02)*em, (capHeight+0.04)*em
	}
	return r
}

func TestNothingLiesOverAnything(t *testing.T) {
	texts := 0
	for _, v := range variants() {
		texts += nothingOverAnything(t, layOut(cardOf(v.areas, v.name), v.paper))
	}
	figure.Report(t, "texts of cards", "%d", texts)
	require.Greater(t, texts, 5000)
}

// From one coat to the most that are planned, of one mix or of many, with and without times: the row holds all of it.
func TestRowsOfAnyCoats(t *testing.T) {
	for _, paper := range Papers {
		for n := range 13 {
			s := cardOf(3, "frame")
			a := &s.Areas[1]
			a.Steps, a.Count, a.StopAt = nil, fmt.Sprint(n), max(0, n-1)
			for i := range n {
				a.Steps = append(a.Steps, Coat{
					Number: i + 1, Letter: "ABC"[i%3 : i%3+1], Coating: "a wash of an uncommonly long name", Lab: colour.Lab{L: 80 - 4*float64(i)},
					Planned: "14 Mar 14:15", Scuffed: i > 0,
					Notes: []string{"Wait as long as the label says. If it says nothing, wait until the next day."},
				})
			}
			c := layOut(s, paper)
			require.Len(t, c.pages, 1)
			nothingOverAnything(t, c)
			for i := range n {
				require.Contains(t, textsOf(c), fmt.Sprint(i+1, " ", "ABC"[i%3:i%3+1]))
			}
		}
	}
}

// Whatever a sheet says, all of it is on the card, on paper, in its box and over nothing else.
func TestCardsOfAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	text := func(most int) string {
		words := make([]string, rng.IntN(most+1))
		for i := range words {
			words[i] = strings.Repeat("nobody wants this"[rng.IntN(17):], 1+rng.IntN(12)/9*4)
		}
		return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
	}
	some := func(most int, add func()) {
		for range rng.IntN(most + 1) {
			add()
		}
	}
	sheets := 15
	if os.Getenv("HUEWRIGHT_LONG") != "" {
		sheets = 200
	}
	for range sheets {
		s := &Sheet{Title: text(20), Ref: text(4), US: rng.IntN(2) == 0, Note: text(60), Other: text(60), First: text(40), Ready: text(9)}
		some(3, func() {
			s.Mixes = append(s.Mixes, Mix{[]string{"", "A", "B"}[rng.IntN(3)], text(6) + "a", text(8) + "b", text(30)})
		})
		some(12, func() { s.Before = append(s.Before, Step{text(4), text(20), []string{text(20)}}) })
		some(12, func() { s.After = append(s.After, Step{text(4), text(20), []string{text(20)}}) })
		some(20, func() { s.Matters = append(s.Matters, Caution{text(2), text(70) + "c"}) })
		some(3, func() { s.Warnings = append(s.Warnings, text(50)) })
		some(2, func() { s.Photos = append(s.Photos, image.NewGray(image.Rect(0, 0, 1+rng.IntN(300), 1+rng.IntN(300)))) })
		some(10, func() {
			a := Area{
				Number: len(s.Areas) + 1, Name: text(12) + "d", About: text(12), Count: fmt.Sprint(rng.IntN(13)), Coats: text(20), Left: text(60),
				Swatches: []Swatch{{"now", colour.Lab{L: 50}}, {"target", colour.Lab{L: 30}}},
			}
			some(12, func() {
				a.Steps = append(a.Steps, Coat{
					Number: len(a.Steps) + 1, Letter: []string{"", "A"}[rng.IntN(2)], Coating: text(5), Lab: colour.Lab{L: 40}, Planned: "14 Mar 12:15",
					Scuffed: rng.IntN(2) == 0, Seal: text(10), Notes: []string{text(12)},
				})
			})
			a.StopAt = rng.IntN(len(a.Steps) + 1)
			s.Areas = append(s.Areas, a)
		})
		c := layOut(s, Papers[rng.IntN(2)])
		nothingOverAnything(t, c)
		found := together(strings.Join(textsOf(c), ""))
		all := []string{s.Title, s.Note, s.Other, s.First}
		for _, k := range s.Matters {
			all = append(all, k.Text)
		}
		for _, step := range append(s.Before, s.After...) {
			all = append(all, step.Time+step.What)
		}
		for _, a := range s.Areas {
			all = append(all, a.Name, a.About, a.Coats, a.Left)
			for _, k := range a.Steps {
				all = append(all, k.Seal, k.Notes[0])
			}
		}
		for _, want := range all {
			require.Contains(t, found, together(want))
		}
	}
}

// Lists of steps that are longer than a page go on over the next.
func TestLongListsGoOn(t *testing.T) {
	s := cardOf(2, "frame")
	long := Step{"Sat 14 Mar 09:00", strings.Repeat("Rub all of it down along the grain. ", 20),
		[]string{strings.Repeat("New coats need tooth. ", 20)}}
	for range 30 {
		s.Before, s.After = append(s.Before, long), append(s.After, long)
	}
	c := layOut(s, "Letter")
	nothingOverAnything(t, c)
	require.Equal(t, 60, strings.Count(together(strings.Join(textsOf(c), "")), together(long.What)))
}

// together is a text without spaces: lines may end anywhere.
func together(text string) string { return strings.ReplaceAll(text, " ", "") }

func textsOf(c *canvas) (all []string) {
	for _, page := range c.pages {
		for _, m := range page {
			if m.text != "" {
				all = append(all, m.text)
			}
		}
	}
	return all
}

// What the fonts themselves say.
func TestLettersAreAsHighAsSaid(t *testing.T) {
	for _, ttf := range [][]byte{goregular.TTF, gobold.TTF} {
		f, err := sfnt.Parse(ttf)
		require.NoError(t, err)
		m, err := f.Metrics(nil, fixed.I(1000), font.HintingNone)
		require.NoError(t, err)
		require.InDelta(t, 1000*ascent, m.Ascent.Ceil(), 1.5)
		require.InDelta(t, 1000*descent, m.Descent.Ceil(), 1.5)
		require.InDelta(t, 1000*capHeight, m.CapHeight.Ceil(), 1.5)
	}
}

// digitHigh is how high the lowest digit of the bold font is, in ems.
func digitHigh(t *testing.T) (ems float64) {
	f, err := sfnt.Parse(gobold.TTF)
	require.NoError(t, err)
	ems = 1
	for r := '0'; r <= '9'; r++ {
		glyph, err := f.GlyphIndex(nil, r)
		require.NoError(t, err)
		bounds, _, err := f.GlyphBounds(nil, glyph, fixed.I(1000), font.HintingNone)
		require.NoError(t, err)
		ems = min(ems, float64(-bounds.Min.Y.Round())/1000)
	}
	return ems
}

// A count is read from 1.5 m: its digits are 8 mm high or more. Common practice, no source: 1/200 of the distance.
func TestCountsAreReadFromAfar(t *testing.T) {
	least, digit := 99.0, digitHigh(t)
	for _, v := range variants() {
		s, found := cardOf(v.areas, v.name), 0
		if len(s.Areas) > 1 { // five mixes have no room beside one another: all coats in one figure
			s.Areas[1].Count = "1+1+1+12+1"
		}
		for _, page := range layOut(s, v.paper).pages {
			for _, m := range page {
				if m.text == "2+1" || m.text == "3" && m.points > 20 {
					least, found = min(least, m.points*25.4/72*digit), found+1
				}
			}
		}
		require.Equal(t, v.areas, found, "%v", v)
	}
	figure.Report(t, "height of counts", "%.1f", least)
	require.GreaterOrEqual(t, least, 8.0)
}

// Nothing is told by colour alone: every swatch has its name or its number on it.
func TestSwatchesAreToldInBlackAndWhite(t *testing.T) {
	c := layOut(cardOf(6, "frame"), "A4")
	swatches := 0
	for _, m := range c.pages[0] {
		if _, coloured := m.fill.(color.NRGBA); !coloured || m.text != "" {
			continue
		}
		swatches++
		named := false
		for _, o := range c.pages[0] {
			named = named || o.text != "" && !strings.HasPrefix(o.text, "L*") && o.x >= m.x && o.y >= m.y &&
				o.right() <= m.right() && o.bottom() <= m.bottom()
		}
		require.True(t, named, "%v", m.rect)
	}
	require.Equal(t, 6*5, swatches)
}
