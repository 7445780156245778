package web

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/demo"
	"huewright/internal/fixture"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

// TestREADMEPictures takes README's pictures on the demo's cabinet: the card, three pages on a phone, the cabinet before and after, and its
// frame coat by coat.
func TestREADMEPictures(t *testing.T) {
	if !*update {
		t.Skip("pictures are taken with -update alone")
	}
	b := newBrowser(t, 390, 844)
	b.open("/")
	b.tap(button("main", "Try the music cabinet"))
	b.screen("woods")
	path := "/piece/" + demoID
	does := func(form string) { require.Equal(t, "ok", post(b, path+"/do", form), form) }
	does("do=room&start=2026-03-14T09:00&temperature=19&humidity=55")
	b.open(path + "/answer")
	if js[bool](b, `!!document.querySelector(".foot button.main")`) {
		does("do=plan")
		b.open(path + "/answer")
	}
	b.pictured()
	b.view("answer")

	d, err := b.s.tryout.server.drafts.load(demoID)
	require.NoError(t, err)
	m, err := b.s.tryout.server.planned(t.Context(), d)
	require.NoError(t, err)
	halves := workshop.NewPreview(m.photos, m.result, workshop.PreviewOptions{Width: 800})
	before, err := halves.Before(t.Context(), "front")
	require.NoError(t, err)
	after, _, err := halves.After(t.Context(), "front")
	require.NoError(t, err)
	writePicture(t, "before-and-after.jpg", picture.Pair(before, after))
	strip, shown, err := halves.Strip(t.Context(), bench.Frame)
	require.NoError(t, err)
	writePicture(t, "frame-coat-by-coat.jpg", picture.Strip(strip, shown, m.result.Named(bench.Frame).Planned()))

	b.cardPicture(path + "/card")

	b.open(path + "/bench")
	b.tap(button(".foot", "Coat 1 is on"))
	b.until(`document.querySelector("main").textContent.includes("The last coat went on") && !document.querySelector("[aria-busy]")`)
	b.view("drying")

	cabinet, err := demo.Draw(t.Context(), false)
	require.NoError(t, err)
	b.begin("music cabinet")
	b.choose("Choose", demo.Photo, cabinet.Files[demo.Photo])
	b.screen("woods")
	b.tapShare(spotOnScreen{0.45, 0.35})
	b.taken("name-it")
	b.view("woods")
	b.sideBySide("on-a-phone.jpg", "woods", "answer", "drying")
	b.quiet()
}

// cardPicture takes the picture of a card as it is printed.
func (b *browser) cardPicture(path string) {
	b.t.Helper()
	const wide, margin = 794, 34 // A4 at 96 dots an inch, and its margins of 9 mm
	b.do(chromedp.EmulateViewport(wide-2*margin, 1000))
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(b.t, err)
	b.open(path)
	high := js[int](b, `document.documentElement.scrollHeight`) // the letters of this machine are taller than those in the PDF
	b.do(chromedp.EmulateViewport(wide-2*margin, int64(high+12)))
	page, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	printed, err := png.Decode(bytes.NewReader(page))
	require.NoError(b.t, err)
	sheet := image.NewRGBA(image.Rect(0, 0, wide, printed.Bounds().Dy()+2*margin))
	draw.Draw(sheet, sheet.Rect, image.White, image.Point{}, draw.Src)
	draw.Draw(sheet, printed.Bounds().Add(image.Pt(margin, margin)), printed, image.Point{}, draw.Src)
	writePicture(b.t, "card.jpg", sheet)
	_, err = chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
	require.NoError(b.t, err)
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
}

// writePicture writes one of README's pictures.
func writePicture(t testing.TB, name string, drawn image.Image) {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, jpeg.Encode(&out, drawn, &jpeg.Options{Quality: 85}))
	require.NoError(t, os.WriteFile(fixture.Own("testdata", "pictures", name), out.Bytes(), 0o644))
}

// sideBySide writes views beside one another as one of README's pictures.
func (b *browser) sideBySide(file string, names ...string) {
	b.t.Helper()
	const gap = 24
	var all []image.Image
	whole := image.Rectangle{}
	for _, name := range names {
		one, err := png.Decode(bytes.NewReader(b.views[name]))
		require.NoError(b.t, err, name)
		all = append(all, one)
		whole.Max = image.Pt(whole.Max.X+one.Bounds().Dx()+gap, max(whole.Max.Y, one.Bounds().Dy()))
	}
	whole.Max.X -= gap
	out := image.NewRGBA(whole)
	draw.Draw(out, whole, image.White, image.Point{}, draw.Src)
	for i, one := range all {
		draw.Draw(out, one.Bounds().Add(image.Pt(i*(one.Bounds().Dx()+gap), 0)), one, image.Point{}, draw.Src)
	}
	writePicture(b.t, file, out)
}
