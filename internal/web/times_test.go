package web

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/fixture"
)

// slowed is how many times slower a phone's processor is taken to be than this machine's: our own choice.
const slowed = 4

// stamps notes in the browser when a finger or a file came, and when a screen, what a tap took, or a picture had been painted since.
const stamps = `(() => {
	const note = (what) => sessionStorage.setItem("at " + what, performance.timeOrigin + performance.now());
	const painted = (what) => requestAnimationFrame(() => setTimeout(() => note(what)));
	const asked = (e) => {
		for (const w of ["screen", "region", "picture"]) sessionStorage.removeItem("at " + w);
		sessionStorage.setItem("at asked", performance.timeOrigin + e.timeStamp);
	};
	addEventListener("pointerup", asked, true);
	addEventListener("change", asked, true);
	const shown = async () => {
		painted("screen");
		const picture = document.querySelector(".stage image, .stage img");
		if (!picture) return;
		const same = Object.assign(new Image(), {src: picture.src ?? picture.href.baseVal});
		await same.decode();
		painted("picture");
	};
	document.addEventListener("DOMContentLoaded", () => {
		shown();
		new MutationObserver((all) => { for (const c of all) for (const n of c.addedNodes) {
			if (n.id === "screen") shown();
			if (n.matches?.(".lit .edge")) painted("region");
		} }).observe(document.documentElement, {childList: true, subtree: true});
	});
})()`

// slow makes a browser as slow as a phone, and has it note when things came.
func (b *browser) slow() {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: slowed})
	require.NoError(b.t, err)
	_, err = chromedp.Call(b.ctx, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: stamps})
	require.NoError(b.t, err)
	_, err = chromedp.Call(b.ctx, network.ClearBrowserCache, chromedp.Void{})
	require.NoError(b.t, err)
}

// took is how many milliseconds passed from what was last asked until something had been painted.
func (b *browser) took(what string) float64 {
	b.t.Helper()
	b.until(fmt.Sprintf(`sessionStorage.getItem("at %s") !== null`, what))
	return js[float64](b, fmt.Sprintf(`sessionStorage.getItem("at %s") - sessionStorage.getItem("at asked")`, what))
}

// A timedPhoto is one to be timed with, and two places on it to be tapped, as shares of its width and height.
type timedPhoto struct {
	file string
	data []byte
	taps [2]spotOnScreen
}

// drawnLarge is a drawn cabinet of 12 megapixels, its frame and a panel tapped.
var drawnLarge = sync.OnceValue(func() timedPhoto {
	const wide, high = 4032, 3024
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(
		bench.View{Width: wide, Height: high, SamplesPerSide: 1}, bench.DrawCamera(5, bench.Phone),
	)
	p := timedPhoto{file: "front.jpg", data: shot.JPEG}
	for i, area := range []string{bench.Frame, bench.Panel} {
		o := shot.Area(area).Outline
		at := within(o, wide, high)
		p.taps[i] = spotOnScreen{at.X / wide, at.Y / high}
	}
	return p
})

// realPhoto is a photo beside the checkout, tapped at two places.
func realPhoto(t testing.TB, path string, taps [2]spotOnScreen) timedPhoto {
	path = fixture.NeedShared(t, path)[0]
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return timedPhoto{filepath.Base(path), data, taps}
}

// BenchmarkInTheBrowser times the pages as a phone has them, its processor slowed four times: until the first screen can be used, what is
// tapped is lit up, a step's screen is shown, and a picture of the finished piece, 1600 pixels wide, is there.
func BenchmarkInTheBrowser(b *testing.B) {
	for _, p := range []struct {
		name  string
		photo func(testing.TB) timedPhoto
	}{
		{"Drawn12MP", func(testing.TB) timedPhoto { return drawnLarge() }},
		{"Real12MP", func(t testing.TB) timedPhoto {
			return realPhoto(t, "formats/exif/iphone_13_pro_max.HEIC", [2]spotOnScreen{{0.5, 0.5}, {0.3, 0.8}})
		}},
		{"Real8MP", func(t testing.TB) timedPhoto {
			return realPhoto(t, "charts/jarrelscy/IMG_20140613_203438.jpg", [2]spotOnScreen{{0.1, 0.1}, {0.9, 0.9}})
		}},
	} {
		b.Run(p.name, func(b *testing.B) {
			photo := p.photo(b)
			for b.Loop() {
				timeTheJob(b, photo)
			}
			b.ReportMetric(0, "ns/op")
		})
	}
}

func timeTheJob(t *testing.B, p timedPhoto) {
	b := newBrowser(t, 390, 844)
	b.slow()
	b.open("/")
	t.ReportMetric(js[float64](b, `Math.max(performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd, `+
		`...performance.getEntriesByType("paint").map((p) => p.startTime))`), "first-ms")
	b.choose("Photograph a piece", p.file, p.data)
	b.until(`!!document.querySelector("#screen[data-screen]")`)
	arrived := b.took("screen")
	t.ReportMetric(arrived, "arrived-ms")
	piece := b.piece()
	b.open(piece + "/woods")
	b.until(`performance.getEntriesByType("resource").some((r) => r.name.endsWith("/tap"))`) // it is ready
	var steps, pictures, taps []float64
	step := func(how func(), screen string) {
		t.Helper()
		how()
		b.screen(screen)
		steps = append(steps, b.took("screen"))
		t.Logf("%s: %.0f ms", screen, steps[len(steps)-1])
		if js[bool](b, `!!document.querySelector(".stage image, .stage img")`) {
			pictures = append(pictures, b.took("picture"))
			t.Logf("%s: %.0f ms with its picture", screen, pictures[len(pictures)-1])
		}
	}
	tapped := func(element string) func() { return func() { b.tap(element) } }
	for i, at := range p.taps {
		b.tapShare(at)
		taps = append(taps, b.took("region"))
		t.Logf("tap: %.0f ms", taps[len(taps)-1])
		step(tapped(button(".foot", "That is it")), "woods")
		b.until(fmt.Sprintf(`document.querySelectorAll(".stage text").length === %d`, i+1))
	}
	step(tapped(link(".foot", "Next: where to")), "goal")
	step(tapped(button(".foot", "Make them meet")), "shelf")
	step(tapped(link(".foot", "Add a coating")), "coating")
	b.fill("#coating [name=name]", "wash")
	b.fill("#coating [name=chip-colour]", "#5a4030")
	step(tapped(button(".foot", "Put it on the shelf")), "shelf")
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	t.ReportMetric(b.took("screen"), "plan-ms")
	b.pictured()
	b.open(piece + "/shelf")
	step(tapped(`document.querySelector(".bar [aria-label^=Back]")`), "goal")
	b.open(piece + "/bench")
	step(tapped(`document.querySelector(".bar [aria-label^=Back]")`), "answer")
	preview, err := chromedp.Run(b.ctx, chromedp.Evaluate[float64](`(async () => { const i = new Image(), began = performance.now();
		i.src = document.querySelector(".over img").src + "&again"; await i.decode(); return performance.now() - began })()`, awaited))
	require.NoError(t, err)
	t.ReportMetric(preview, "preview-ms")
	t.ReportMetric(slices.Max(taps), "tap-ms")
	t.ReportMetric(slices.Max(steps), "step-ms")
	t.ReportMetric(slices.Max(pictures), "picture-ms")
	b.quiet()
}

// tapShare taps a place of the photo, given as shares of its width and height.
func (b *browser) tapShare(at spotOnScreen) {
	b.t.Helper()
	b.until(`!!document.querySelector("svg.tapped image")`)
	spot := js[spotOnScreen](b, fmt.Sprintf(`(() => { const s = document.querySelector("svg.tapped"), v = s.viewBox.baseVal;
		s.scrollIntoView({block: "center", behavior: "instant"});
		const p = Object.assign(s.createSVGPoint(), {x: %f * v.width, y: %f * v.height}).matrixTransform(s.getScreenCTM());
		return {X: p.x, Y: p.y} })()`, at.X, at.Y))
	b.tapAt(spot)
}
