package clientpage

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

	"huewright/colour"
)

var long = strings.Repeat("The left door of the uncommonly long cabinet ", 2)[:60]

// pageOf is a page of so many parts of a name, with much to say about each.
func pageOf(parts int, name string) *Page {
	photo := func(w, h int) image.Image {
		img := image.NewNRGBA(image.Rect(0, 0, w, h))
		for i := range img.Pix {
			img.Pix[i] = uint8(120 + i%4*20 + i/4%w*60/w)
		}
		return img
	}
	p := &Page{
		Title: name, About: "How it will look, and what will be done. 14 March 2026.", Date: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC),
		Photos: []Photo{{
			Now: Picture{photo(400, 300), "Now"}, Day: Picture{photo(400, 300), "When it is done, by day"},
			Lamp: Picture{photo(400, 300), "When it is done, by a warm lamp (a guess)"},
		}},
		Colours: [2]string{"Now", "Then"},
		Over:    "Over all of it: 2 clear coats of water-borne clear.",
		Small:   "Screens and printers show colours only roughly. Look at the test piece in the room where it will stand.",
	}
	seen := Line{Text: "Close up you will see a difference:"}
	for i := range parts {
		p.Parts = append(p.Parts, Part{
			Name: fmt.Sprint(name, " ", i+1), Do: "3 thin coats of nut-brown wash (2 to 4) and 1 thin coat of amber glaze.",
			Now: colour.Lab{L: 77, A: 4, B: 23}, After: colour.Lab{L: 44, A: 14, B: 24},
		})
		if i < 5 {
			seen.Items = append(seen.Items, fmt.Sprintf("the %s %d will be a little lighter and a touch yellower than the colour aimed at",
				name, i+1))
		}
	}
	p.Sections = []Section{
		{"What you will see", []Line{seen, {Text: "By a warm lamp it will look as by day."}}},
		{"Over the years", []Line{{Text: "Cherry changes from the first day in the light, mostly darker and redder."}}},
		{"Materials", []Line{{Text: "Nut-brown wash (thinned with water), amber glaze and water-borne clear."}}},
		{"Time", []Line{{Text: "About 14 hours of work. It takes 5 days from the first step until it is dry, most of it waiting."}}},
	}
	return p
}

// One page to six parts, two beyond; whatever is said is on it as text, on both papers, with names of 60 letters and with one that no line
// can hold.
func TestAllIsOnThePage(t *testing.T) {
	for _, paper := range []string{"A4", "Letter"} {
		for _, name := range []string{"frame", long, strings.Repeat("W", 90)} {
			for parts, most := range map[int]int{1: 1, 3: 1, 6: 1, 9: 2} {
				if parts == 6 && name != "frame" {
					most = 2
				}
				p := pageOf(parts, name)
				var out bytes.Buffer
				require.NoError(t, PDF(&out, p, paper))
				about := fmt.Sprintf("%s, %d parts, %.9s", paper, parts, name)
				pages := bytes.Count(out.Bytes(), []byte("/Type /Page\n"))
				require.Positive(t, pages, about)
				require.LessOrEqual(t, pages, most, about)
				require.Contains(t, out.String(), "/FontFile2", "fonts are in it")
				require.Contains(t, out.String(), "/ToUnicode", "text is text")
				if dir := os.Getenv("HUEWRIGHT_CARDS"); dir != "" { // to be looked at
					require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("client-%s-%d-%.3s.pdf", paper, parts, name)), out.Bytes(), 0o644))
				}
				requireTold(t, p, textOf(t, out.Bytes()), about)
			}
		}
	}
}

// textOf is what a reader of PDF finds, without spaces: lines end anywhere.
func textOf(t *testing.T, pdf []byte) string {
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here")
	}
	path := filepath.Join(t.TempDir(), "client.pdf")
	require.NoError(t, os.WriteFile(path, pdf, 0o644))
	text, err := exec.Command(reader, "-raw", path, "-").Output()
	require.NoError(t, err)
	return string(text)
}

// requireTold requires that all that a page says is in a text.
func requireTold(t *testing.T, p *Page, text, about string) {
	bare := func(s string) string {
		return strings.NewReplacer(" ", "", "\n", "", "\f", "", "\u00ad", "", "‑", "-").Replace(s)
	}
	all := []string{p.Title, p.About, p.Over, p.Small, p.Colours[0], p.Colours[1]}
	for _, part := range p.Parts {
		all = append(all, part.Name, part.Do)
	}
	for _, photo := range p.Photos {
		all = append(all, photo.Now.Text, photo.Day.Text)
	}
	for _, s := range p.Sections {
		all = append(all, s.Heading)
		for _, line := range s.Lines {
			all = append(append(all, line.Text), line.Items...)
		}
	}
	text = bare(text)
	for _, says := range all {
		require.Contains(t, text, bare(says), about)
	}
}

func TestPDFIsTheSameEachTime(t *testing.T) {
	var one, two bytes.Buffer
	require.NoError(t, PDF(&one, pageOf(3, "frame"), "A4"))
	require.NoError(t, PDF(&two, pageOf(3, "frame"), "A4"))
	require.Equal(t, one.Bytes(), two.Bytes())
}

// A photo that is high rather than wide, and a piece of figures alone, have their pages too.
func TestPagesOfOtherPhotos(t *testing.T) {
	p := pageOf(2, "frame")
	p.Photos = append(p.Photos, Photo{Now: Picture{image.NewNRGBA(image.Rect(0, 0, 90, 400)), "Now"},
		Day: Picture{image.NewNRGBA(image.Rect(0, 0, 90, 400)), "When it is done, by day"}})
	var out bytes.Buffer
	require.NoError(t, PDF(&out, p, "A4"))
	requireTold(t, p, textOf(t, out.Bytes()), "two photos")
	p.Photos = nil
	out.Reset()
	require.NoError(t, PDF(&out, p, "A4"))
	requireTold(t, p, textOf(t, out.Bytes()), "no photo")
	out.Reset()
	require.NoError(t, HTML(&out, p, "A4"))
	require.NotContains(t, out.String(), "<figure>")
}

func TestPageNeedsNothingElse(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, HTML(&out, pageOf(3, `<script>alert("x")</script>`), "Letter"))
	page := out.String()
	require.NotContains(t, page, "<script")
	require.NotContains(t, page, "http")
	require.Contains(t, page, "size: Letter")
	require.Contains(t, page, "&lt;script&gt;")
	require.Equal(t, 3, strings.Count(page, "data:image/jpeg;base64,"))
	p := pageOf(9, long)
	out.Reset()
	require.NoError(t, HTML(&out, p, "A4"))
	for _, part := range p.Parts {
		require.Contains(t, out.String(), part.Name)
	}
}
