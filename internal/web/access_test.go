package web

import (
	"fmt"
	"os"
	"testing"

	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
)

// keys presses keys, one after the other.
func (b *browser) keys(keys string) {
	b.t.Helper()
	b.do(chromedp.KeyEvent(keys))
}

// tabTo goes from field to field by the Tab key until an element has the focus.
func (b *browser) tabTo(element string) {
	b.t.Helper()
	for range 150 {
		if js[bool](b, fmt.Sprintf("(() => { const e = %s; return !!e && document.activeElement === e })()", element)) {
			return
		}
		b.keys(kb.Tab)
	}
	require.Fail(
		b.t, "the Tab key never comes there", "%s; it is at %s", element, js[string](b, "document.activeElement.outerHTML.slice(0, 200)"),
	)
}

// TestTheJobByKeys does the job by keyboard alone, but for choosing the photo's file.
func TestTheJobByKeys(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 1100, 850)
	b.do(chromedp.EmulateViewport(1100, 850))
	b.open("/")
	b.tabTo(`[...document.querySelectorAll("summary")].find((s) => s.textContent.startsWith("Begin one"))`)
	b.keys(kb.Enter)
	b.tabTo(`document.querySelector("input[name=name]")`)
	b.keys("music cabinet" + kb.Enter)
	b.until(`location.pathname.startsWith("/piece/")`)
	b.addPhoto()
	for i, name := range []string{bench.Frame, bench.Panel} { // with the arrows and Enter: the mark begins in the middle
		b.tabTo(`document.querySelector("svg.tapped")`)
		at := middleOf(drawnCabinet().Area(name).Outline, t)
		b.arrows(at, `document.querySelector("svg.tapped")`, `(document.querySelector("svg.tapped").dataset.at ?? "")`)
		b.keys(kb.Enter)
		b.taken("name-it")
		b.tabTo(button(".foot", "That is it"))
		b.keys(kb.Enter)
		b.until(fmt.Sprintf(`document.querySelectorAll(".stage text").length === %d`, i+1))
	}
	b.tabTo(link("main", "Draw or type")) // or as figures
	b.keys(kb.Enter)
	b.screen("outlines")
	const form = `document.querySelector('form[data-keep="area"]')`
	b.tabTo(`document.querySelector("#add summary")`)
	b.keys(kb.Enter)
	b.tabTo(form + `.querySelector("[name=name]")`)
	b.keys("drawn")
	b.tabTo(form + `.querySelector(".drawit")`)
	b.keys(kb.Enter)
	b.until(`document.activeElement?.classList.contains("photo-svg") && document.activeElement.viewBox.baseVal.width > 0`)
	low, high := boxOf(drawnCabinet().Area(bench.FrameBare).Outline.String(), t)
	b.arrows(low, `document.querySelector("svg.photo-svg")`, `document.querySelector("dialog p").textContent`)
	b.keys(kb.Enter)
	b.tabTo(`document.querySelector("dialog input")`)
	b.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	b.keys(fmt.Sprintf("%.0f,%.0f,%.0f,%.0f\t", low.X, low.Y, high.X-low.X, high.Y-low.Y))
	b.until(`!!document.querySelector("dialog p svg.swatch")`)
	b.tabTo(button("dialog", "Done"))
	b.keys(kb.Enter)
	b.until(`!document.querySelector("dialog")`)
	b.tabTo(`[...` + form + `.querySelectorAll("button")].at(-1)`)
	b.keys(kb.Enter)
	b.screen("woods")
	b.until(`document.querySelectorAll("details.area").length === 3`)
	b.tabTo(link(".foot", "Next"))
	b.keys(kb.Enter)
	b.screen("goal")
	b.tabTo(button(".foot", "Make them meet"))
	b.keys(kb.Enter)
	b.screen("shelf")
	b.tabTo(link(".foot", "Add a coating"))
	b.keys(kb.Enter)
	b.screen("coating")
	b.tabTo(`document.querySelector("#coating [name=name]")`)
	b.keys("nut-brown wash")
	b.tabTo(`document.querySelector("#coating [name=chip-colour]")`)
	b.keys("#5a4030" + kb.Enter)
	b.screen("shelf")
	b.until(`document.querySelectorAll("article.coating").length === 1`)
	b.tabTo(button(".foot", "See the answer"))
	b.keys(kb.Enter)
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 3`)
	b.quiet()
}

// arrows brings the mark to a place on a photo by the arrow keys, with Shift for far steps; at is an expression for where it is.
func (b *browser) arrows(to spotOnScreen, photo, at string) {
	b.t.Helper()
	marked := func() spotOnScreen {
		return js[spotOnScreen](b, fmt.Sprintf(`(() => { const m = /^([\d.]+), ?([\d.]+)$/.exec(%s); `+
			`return m ? {X: +m[1], Y: +m[2]} : {X: -1, Y: -1} })()`, at))
	}
	b.keys(kb.ArrowLeft)
	for range 200 {
		now := marked()
		dx, dy := to.X-now.X, to.Y-now.Y
		step := js[float64](b, fmt.Sprintf(`(() => { const s = %s; return s.classList.contains("tapped") ? s.viewBox.baseVal.width / 200 `+
			`: 4 * s.viewBox.baseVal.width / s.getBoundingClientRect().width })()`, photo))
		press := func(key string, d float64) bool {
			switch {
			case d > 10*step || d < -10*step:
				b.do(chromedp.KeyEvent(key, chromedp.KeyModifiers(chromedp.ModifierShift)))
			case d > step || d < -step:
				b.keys(key)
			default:
				return false
			}
			return true
		}
		sideways, upwards := kb.ArrowRight, kb.ArrowDown
		if dx < 0 {
			sideways = kb.ArrowLeft
		}
		if dy < 0 {
			upwards = kb.ArrowUp
		}
		moved := press(sideways, dx)
		if !press(upwards, dy) && !moved {
			return
		}
	}
	require.Fail(b.t, "the arrows never come there")
}

// TestNoBarriers has an accessibility checker look at every page, light and dark. HUEWRIGHT_AXE is the
// checker's script, axe-core 4.10 from npm; .ci/run fetches it.
func TestNoBarriers(t *testing.T) {
	t.Parallel()
	script, err := os.ReadFile(os.Getenv("HUEWRIGHT_AXE"))
	if err != nil {
		t.Skip("no accessibility checker here: HUEWRIGHT_AXE names none")
	}
	b := newBrowser(t, 390, 844)
	b.begin("music cabinet")
	b.addPhoto()
	piece := b.piece()
	frame, high := boxOf(drawnCabinet().Area(bench.Frame).Outline.String(), t)
	for _, form := range []string{
		fmt.Sprintf(
			"do=area&name=frame&wood=ash&surface=sealed&photo=front&outline=%.0f,%.0f,%.0f,%.0f", frame.X, frame.Y, high.X-frame.X,
			high.Y-frame.Y,
		),
		"do=coating&name=wash&kind=wash&paint=1&thinner=4&chip-colour=%235a4030", "do=target&target-colour=42,15,21", "do=plan",
		"do=note&note=hello",
	} {
		require.Equal(t, "ok", post(b, piece+"/do", form), form)
	}
	looked := 0
	for _, scheme := range []string{"light", "dark"} {
		b.inLight(scheme)
		paths := []string{
			"/", piece + "/card", piece + "/client", "/log?colour=42,15,21", "/log/music%20cabinet", "/shelf", "/help",
			"/browsers", "/pair", "/nothing",
		}
		for i := range screens {
			paths = append(paths, piece+"/"+screens[i].name+"?coating=wash&look=1")
		}
		for _, path := range paths {
			b.open(path)
			js[bool](b, `[...document.querySelectorAll("details")].forEach((d) => d.open = true), true`)
			js[bool](b, string(script)+"; true")
			found, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`axe.run().then((r) => r.passes.length < 5 ? "it looked at `+
				`nothing" : JSON.stringify(r.violations.filter((v) => ["serious", "critical"].includes(v.impact)).map((v) => v.id + ": " + `+
				`v.nodes.map((n) => n.html.slice(0, 120)).join(" | "))))`, awaited))
			require.NoError(t, err)
			require.Equal(t, "[]", found, "%s in the %s", path, scheme)
			looked++
		}
	}
	figure.Report(t, "faults of accessibility", "none on %d pages", looked)
}

func awaited(p *cdpruntime.EvaluateParams) { p.AwaitPromise = new(true) }

// post sends a form from the page, and says "ok" or what went wrong.
func post(b *browser, path, form string) string {
	b.t.Helper()
	said, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`fetch(%q, {method: "POST", headers: {"Content-Type": `+
		`"application/x-www-form-urlencoded"}, body: %q}).then((r) => r.ok ? "ok" : r.text())`, path, form), awaited, b.onPage))
	require.NoError(b.t, err)
	return said
}
