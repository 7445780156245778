package web

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
)

// A size is how somebody has the pages before them.
type size struct {
	name       string
	wide, high int64
	dark       bool
	large      bool // text at 200 %
}

// usualSizes are those that every run looks at; the rest only a long one.
var sizes, usualSizes = []size{
	{name: "320", wide: 320, high: 568}, {name: "360", wide: 360, high: 640}, {name: "390", wide: 390, high: 844},
	{name: "390 dark", wide: 390, high: 844, dark: true}, {name: "390 large", wide: 390, high: 844, large: true},
	{name: "768", wide: 768, high: 1024}, {name: "1280", wide: 1280, high: 800}, {name: "1280 dark", wide: 1280, high: 800, dark: true},
	{name: "1280 large", wide: 1280, high: 800, large: true}, {name: "1920", wide: 1920, high: 1080}, {name: "3840", wide: 3840, high: 2160},
}, map[string]bool{"320": true, "390 large": true, "1280": true, "3840": true}

// misfits is what is wrong with how a page lies on the screen: what scrolls sideways or lies beyond its sides, texts that are cut, pictures
// that are stretched, lines too long to be read, targets too small for a finger, and motion that was asked to be still.
const misfits = `(() => {
	const wrong = [], root = document.documentElement, rem = parseFloat(getComputedStyle(root).fontSize);
	const wide = root.clientWidth; // a phone's innerWidth grows with what sticks out
	const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
	const seen = (e) => e.checkVisibility({visibilityProperty: true}) && e.getClientRects().length > 0;
	const found = (what, e) => wrong.push(what + ": " + e.localName + "." + (e.className.baseVal ?? e.className) + " " +
		(e.getAttribute("src") ?? e.textContent.trim().slice(0, 40)));
	const scrolled = (e) => { while (e = e.parentElement) if (/auto|scroll/.test(getComputedStyle(e).overflowX)) return true };
	if (root.scrollWidth > wide) wrong.push("scrolls sideways: " + root.scrollWidth);
	for (const e of document.querySelectorAll("body *")) {
		if (!seen(e) || e.closest("svg *, .unseen, .skip, noscript, datalist, option")) continue;
		const r = e.getBoundingClientRect(), s = getComputedStyle(e), over = e.scrollWidth > e.clientWidth + 1;
		if ((r.right > wide + 1 || r.left < -1) && !e.matches(".file input") && !scrolled(e)) found("beyond the side", e);
		const meant = s.textOverflow === "ellipsis" || e.matches("input, .file, .way li, .stage, .over");
		if (over && /hidden|clip/.test(s.overflowX) && !meant) found("cut", e);
		if (over && e.matches("button, .main, .second, .chip, .tag") && !e.matches(".file")) found("its text sticks out", e);
		if (e.matches("img") && e.naturalWidth && s.objectFit === "fill" &&
			Math.abs(r.width / r.height * e.naturalHeight / e.naturalWidth - 1) > 0.03) found("stretched", e);
		if (e.matches("p, li") && !e.closest("nav, .stage, pre") && r.width > 52 * rem && e.textContent.trim().length > 80)
			found("a long line", e);
		const target = e.matches("button, a, summary, select, input:not([type=file]):not([type=range]):not([type=hidden])");
		if (target && s.display !== "inline" && Math.min(r.height, r.width) < 43.5)
			found("a small target, " + Math.round(r.width) + " × " + Math.round(r.height), e);
		if (still && (s.transitionDuration !== "0s" || s.animationName !== "none")) found("moves", e);
	}
	const inView = (e) => { const r = e.getBoundingClientRect();
		return seen(e) && r.top >= 0 && r.bottom <= innerHeight + 0.5 && r.height >= 43.5 };
	if (document.querySelector("#screen.step") && ![...document.querySelectorAll(".foot .main")].some(inView))
		wrong.push("the main button is not in view");
	return [...new Set(wrong)];
})()`

// filled makes a piece that every screen has something to show of, with names that are long or written from right to left.
func (b *browser) filled() (path string) {
	b.t.Helper()
	b.begin("ארון מוזיקה עם דלתות")
	b.addPhoto()
	path = b.piece()
	at := func(area string) string { return url.QueryEscape(drawnCabinet().Area(area).Outline.String()) }
	const wash = "nut-brown+wash+for+doors"
	for _, form := range []string{
		"do=area&name=מסגרת&wood=ash&surface=sealed&photo=front&outline=" + at(bench.Frame),
		"do=area&name=panel+below+the+drawer&wood=sapele&surface=sealed&photo=front&outline=" + at(bench.Panel),
		"do=coating&name=" + wash + "&kind=wash&paint=1&thinner=4&chip-colour=%235a4030",
		"do=test&coating=" + wash + "&ground-photo=front&ground-outline=" + at(bench.FrameBare) + "&result-photo=front&result-outline=" +
			at(bench.FrameTested),
		"do=repair&name=filled+corner&photo=front&outline=" + at(bench.Corner), "do=check&name=filled+corner", "do=note&note=drinks+more",
		"do=plan", "do=on&area=מסגרת&coating=" + wash,
	} {
		require.Equal(b.t, "ok", post(b, path+"/do", form), form)
	}
	return path
}

// as has a browser show the pages at a size.
func (b *browser) as(s size) {
	b.t.Helper()
	light := "light"
	if s.dark {
		light = "dark"
	}
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
		{Name: "prefers-color-scheme", Value: light}, {Name: "prefers-reduced-motion", Value: "reduce"},
	}})
	require.NoError(b.t, err)
	touch := []chromedp.EmulateViewportOption{}
	if s.wide < 1000 {
		touch = append(touch, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	b.do(chromedp.EmulateViewport(s.wide, s.high, touch...))
	js[bool](b, fmt.Sprintf(`document.documentElement.style.fontSize = %v ? "200%%" : "", true`, s.large))
}

// TestScreensAtEverySize looks at every screen of a piece and every page beside it, small and large, and with the text twice as large.
func TestScreensAtEverySize(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	piece := b.filled()
	paths := map[string]string{
		"pieces": "/", "log": "/log?colour=42,15,21&within=9", "story": "/log/" + url.PathEscape("ארון מוזיקה עם דלתות"),
		"shelf of all": "/shelf",
		"help":         "/help", "browsers": "/browsers", "pair": "/pair", "nothing": "/nothing", "look": piece + "/bench?look=1",
	}
	for i := range screens {
		paths[screens[i].name] = piece + "/" + screens[i].name + "?coating=nut-brown+wash+for+doors"
	}
	looked := 0
	for name, path := range paths {
		b.open(path)
		b.until(`document.readyState === "complete"`)
		for _, opened := range []bool{false, true} {
			js[bool](b, fmt.Sprintf(`%v && document.querySelectorAll("main details").forEach((d) => d.open = true), true`, opened))
			for _, s := range sizes {
				if !usualSizes[s.name] && !figure.Long() {
					continue
				}
				b.as(s)
				if !opened {
					b.shot(s.name + " " + name)
				}
				if wrong := js[[]string](b, misfits); len(wrong) > 0 {
					t.Errorf("%s, %s:\n\t%s", s.name, name, strings.Join(wrong, "\n\t"))
				}
				looked++
			}
		}
	}
	b.open(paths["answer"])
	choices := js[string](b, `[...document.querySelectorAll(".choices figcaption")].map((c) => c.textContent).join()`)
	require.Contains(t, choices, "\u2068מסגרת\u2069", "its number of coats stands behind the name")
	require.Equal(t, strings.Count(choices, "מסגרת"), strings.Count(choices, "\u2068מסגרת\u2069"))
	figure.Report(t, "screens that fit", "%d at %d sizes", len(paths), looked/len(paths)/2)
}

// TestScreensWithRealPhotos goes the way with photos of real cameras, of a chart on wood and of what somebody had before them, and looks at
// each screen as a phone and a desktop have it.
func TestScreensWithRealPhotos(t *testing.T) {
	if !figure.Long() {
		t.Skip("only in the long run")
	}
	t.Parallel()
	for name, p := range map[string]timedPhoto{
		"chart": realPhoto(t, "charts/jarrelscy/IMG_20140613_203438.jpg", [2]spotOnScreen{{0.1, 0.1}, {0.9, 0.9}}),
		"tall":  realPhoto(t, "charts/jarrelscy/IMG_20140613_203518.jpg", [2]spotOnScreen{{0.1, 0.1}, {0.9, 0.9}}),
		"large": realPhoto(t, "formats/exif/iphone_13_pro_max.HEIC", [2]spotOnScreen{{0.5, 0.5}, {0.3, 0.8}}),
	} {
		t.Run(name, func(t *testing.T) {
			b := newBrowser(t, 390, 844)
			look := func(screen string) {
				t.Helper()
				for _, s := range sizes {
					if s.wide == 390 || s.wide == 1280 {
						b.as(s)
						b.view(s.name + " " + screen)
						require.Empty(t, js[[]string](b, misfits), "%s at %s", screen, s.name)
					}
				}
				b.as(sizes[2])
			}
			b.open("/")
			b.choose("Photograph a piece", p.file, p.data)
			b.until(`!!document.querySelector("#screen[data-screen]")`)
			piece := b.piece()
			b.open(piece + "/photos")
			look("photos")
			b.open(piece + "/light")
			look("light")
			b.open(piece + "/woods")
			for i, at := range p.taps {
				b.tapShare(at)
				b.taken("name-it")
				look(fmt.Sprintf("tapped %d", i+1))
				b.tap(button(".foot", "That is it"))
				b.until(fmt.Sprintf(`document.querySelectorAll(".stage text").length === %d`, i+1))
			}
			look("woods")
			for _, form := range []string{"do=coating&name=wash&kind=wash&paint=1&thinner=4&chip-colour=%235a4030", "do=plan"} {
				require.Equal(t, "ok", post(b, piece+"/do", form))
			}
			for _, screen := range []string{"answer", "bench", "shelf"} {
				b.open(piece + "/" + screen)
				b.pictured()
				look(screen)
			}
			b.quiet()
		})
	}
}
