package card

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/schedule"
	"huewright/internal/figure"
	"huewright/internal/words"
)

// read is what a reader of PDF finds, in the order in which it was written, with one space between two words.
func read(t *testing.T, pdf []byte, options ...string) string {
	t.Helper()
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here")
	}
	path := filepath.Join(t.TempDir(), "card.pdf")
	require.NoError(t, os.WriteFile(path, pdf, 0o644))
	text, err := exec.Command(reader, append(options, path, "-")...).Output()
	require.NoError(t, err)
	return strings.Join(strings.Fields(string(text)), " ")
}

// allOf are the texts that must be found on a card.
func allOf(s *Sheet) (all []string) {
	all = append(all, s.Title, s.Note, s.Other, s.First, s.Ref, "Looks right:", "clear-coated", "by lamp")
	all = append(all, s.Warnings...)
	for _, k := range s.Matters {
		all = append(all, k.Text)
	}
	for _, m := range s.Mixes {
		all = append(all, m.String())
	}
	for _, step := range append(s.Before, s.After...) {
		all = append(all, step.Time+" "+step.What)
	}
	for _, a := range s.Areas {
		all = append(all, a.Name, a.About, a.Count, a.Coats, a.Left)
		for _, k := range a.Steps {
			all = append(all, strings.Join(strings.Fields(k.Figures()), " "), k.Planned)
		}
	}
	return all
}

// everyCaution is every caution that there is.
func everyCaution() (all []Caution) {
	for _, k := range schedule.Cautions(schedule.Circumstance{
		RedWood: true, Filled: true, Bleached: true, Sprayed: true, Oil: true, Alcohol: true, WaterBorne: true, Lacquer: true, Unknown: true,
	}) {
		all = append(all, Caution{k.Key, words.Speaker{}.Say(k.Danger) + " " + words.Speaker{}.Hint(k.Danger)})
	}
	return all
}

// Text is real, and nothing of it is lost or cut off, however little room there is: not with every caution that there is.
func TestCardTextIsWhole(t *testing.T) {
	for _, v := range variants() {
		s := cardOf(v.areas, v.name)
		s.Matters = everyCaution()
		require.Len(t, s.Matters, 15)
		text := read(t, pdfOf(t, s, v.paper), "-raw")
		for _, want := range allOf(s) {
			require.Contains(t, text, want, "%v", v)
		}
	}
}

// However much a card has to say, no caution is cut off: what has no room goes on the back.
func TestNoCautionIsCutOff(t *testing.T) {
	s := cardOf(8, "frame")
	for i := range 60 {
		text := strings.Repeat("stand well back from it and open the windows on two sides of the room ", 3)
		s.Matters = append(s.Matters, Caution{fmt.Sprintf("danger %d", i), fmt.Sprintf("%send%d.", text, i)})
	}
	text := read(t, pdfOf(t, s, "A4"), "-raw")
	for _, k := range s.Matters {
		require.Contains(t, text, k.Text)
	}
	nothingOverAnything(t, layOut(s, "A4"))
}

var boundingBox = regexp.MustCompile(`<word xMin="([0-9.]+)" yMin="([0-9.]+)" xMax="([0-9.]+)" yMax="([0-9.]+)">([^<]*)</word>`)

// A reader of PDF finds every word on the paper, and none over another.
func TestWordsOnPaperLieApart(t *testing.T) {
	found := 0
	for _, v := range variants() {
		words := boundingBox.FindAllStringSubmatch(read(t, pdfOf(t, cardOf(v.areas, v.name), v.paper), "-bbox"), -1)
		if v.pages > 1 {
			continue // it puts the words of both pages in one list
		}
		var boxes []rect
		for _, w := range words {
			var at [4]float64
			for i := range at {
				at[i], _ = strconv.ParseFloat(w[i+1], 64)
			}
			// Points from the upper left corner; the reader gives every word the full height of its font, so only its middle half counts.
			b := rect{at[0], at[1] + (at[3]-at[1])/4, at[2] - at[0], (at[3] - at[1]) / 2}
			size := sizes[v.paper]
			require.True(t, b.x >= 0 && b.y >= 0 && b.right()*25.4/72 <= size[0] && b.bottom()*25.4/72 <= size[1], "%v: %s", v, w[5])
			for i, o := range boxes {
				over := b.x < o.right()-0.3 && o.x < b.right()-0.3 && b.y < o.bottom()-0.3 && o.y < b.bottom()-0.3
				if over {
					t.Errorf("%v: %s over %s", v, w[5], words[i][5])
				}
			}
			boxes = append(boxes, b)
			found++
		}
	}
	require.Greater(t, found, 5000)
}

// Printed by a browser, the page has as many sheets as the PDF, and the same text. A short run prints the fullest.
func TestCardPagePrintsTheSame(t *testing.T) {
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no browser is here")
	}
	printed := 0
	for _, v := range variants() {
		full := v.areas >= 6 && v.name == sixty
		if v.areas == 0 || v.areas == 4 || v.areas == 7 || !full && os.Getenv("HUEWRIGHT_LONG") == "" {
			continue
		}
		dir := t.TempDir()
		s := cardOf(v.areas, v.name)
		var out bytes.Buffer
		require.NoError(t, HTML(&out, s, v.paper))
		page, paper := filepath.Join(dir, "card.html"), filepath.Join(dir, "card.pdf")
		require.NoError(t, os.WriteFile(page, out.Bytes(), 0o644))
		ctx := t.Context()
		said, err := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu",
			"--user-data-dir="+filepath.Join(dir, "profile"), "--no-pdf-header-footer", "--print-to-pdf="+paper, page).CombinedOutput()
		require.NoError(t, err, "%s", said)
		pdf, err := os.ReadFile(paper)
		require.NoError(t, err)
		require.Equal(t, v.pages, strings.Count(string(pdf), "/Type /Page\n"), "%v", v)
		text := read(t, pdf, "-raw")
		for _, want := range allOf(s) {
			require.Contains(t, text, want, "%v", v)
		}
		printed++
	}
	figure.Report(t, "cards printed by a browser", "all %d", printed)
}

func TestCardIsTheSameEachTime(t *testing.T) {
	require.Equal(t, pdfOf(t, cardOf(3, "frame"), "A4"), pdfOf(t, cardOf(3, "frame"), "A4"))
}

func TestCardPageNeedsNothingElse(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, HTML(&out, cardOf(3, `<script>alert("x")</script>`), "Letter"))
	page := out.String()
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "http")
	require.NotContains(t, page, "style=", "where it is served, only its one style is let in")
	require.Contains(t, page, "size: Letter")
	require.Contains(t, page, "&lt;script&gt;")
	require.Contains(t, page, "L* 77  a* 4  b* 23", "figures beside every swatch")
}
