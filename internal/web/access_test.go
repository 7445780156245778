package web

import (
	"fmt"
	"os"
	"testing"

	"github.com/chromedp/cdproto/emulation"
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
	b := newBrowser(t, 1100, 850)
	b.do(chromedp.EmulateViewport(1100, 850))
	b.open("/")
	b.tabTo(`document.querySelector("input[name=name]")`)
	b.keys("music cabinet" + kb.Enter)
	b.until(`location.pathname.startsWith("/piece/")`)
	b.addPhoto()
	for i, name := range []string{bench.Frame, bench.Panel} {
		const form = `document.querySelector('form[data-keep="area"]')`
		b.tabTo(`[...document.querySelectorAll("#areas summary")].find((s) => s.textContent === "Add an area")`)
		if js[bool](b, `!document.activeElement.parentElement.open`) {
			b.keys(kb.Enter)
		}
		b.tabTo(form + `.querySelector("[name=name]")`)
		b.keys(name)
		b.tabTo(form + `.querySelector(".drawit")`)
		b.keys(kb.Enter)
		b.until(`document.activeElement?.classList.contains("photo-svg") && document.activeElement.viewBox.baseVal.width > 0`)
		low, high := boxOf(drawnCabinet().Area(name).Outline.String(), t)
		if i == 0 { // with the arrows and Enter: the mark begins in the middle
			b.arrows(low)
			b.keys(kb.Enter)
			b.arrows(high)
			b.keys(kb.Enter)
		} else { // or as figures
			b.tabTo(`document.querySelector("dialog input")`)
			b.keys(fmt.Sprintf("%.0f,%.0f,%.0f,%.0f\t", low.X, low.Y, high.X-low.X, high.Y-low.Y))
		}
		b.until(`!!document.querySelector("dialog p svg.swatch")`)
		b.tabTo(button("dialog", "Done"))
		b.keys(kb.Enter)
		b.until(`!document.querySelector("dialog")`)
		b.tabTo(`[...` + form + `.querySelectorAll("button")].at(-1)`)
		b.keys(kb.Enter)
		b.until(fmt.Sprintf(`document.querySelectorAll("#areas article.area").length === %d`, i+1))
	}
	const coating = `document.querySelector('form[data-keep="coating"]')`
	b.tabTo(coating + `.querySelector("[name=name]")`)
	b.keys("nut-brown wash")
	b.tabTo(coating + `.querySelector("[name=chip-colour]")`)
	b.keys("#5a4030" + kb.Enter)
	b.until(`document.querySelectorAll("#coatings article").length === 1`)
	b.tabTo(button("#plan", "Plan the coats"))
	b.keys(kb.Enter)
	b.until(`document.querySelectorAll("#plan article.planned svg.chart").length === 2`)
	b.quiet()
}

// arrows brings the mark to a place on the photo by the arrow keys, with Shift for far steps.
func (b *browser) arrows(to spotOnScreen) {
	b.t.Helper()
	at := func() spotOnScreen {
		return js[spotOnScreen](b, `(() => { const m = /^([\d.]+), ([\d.]+)$/.exec(document.querySelector("dialog p").textContent); `+
			`return m ? {X: +m[1], Y: +m[2]} : {X: -1, Y: -1} })()`)
	}
	b.keys(kb.ArrowLeft)
	for range 200 {
		now := at()
		dx, dy := to.X-now.X, to.Y-now.Y
		step := 4 * js[float64](b, `(() => { const s = document.querySelector("svg.photo-svg"); return s.viewBox.baseVal.width / `+
			`s.getBoundingClientRect().width })()`)
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
	script, err := os.ReadFile(os.Getenv("HUEWRIGHT_AXE"))
	if err != nil {
		t.Skip("no accessibility checker here: HUEWRIGHT_AXE names none")
	}
	b := newBrowser(t, 390, 844)
	b.begin("music cabinet")
	b.addPhoto()
	piece := js[string](b, "location.pathname")
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
		_, err := chromedp.Call(
			b.ctx, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}},
		)
		require.NoError(t, err)
		for _, path := range []string{
			"/", piece, piece + "/card", piece + "/client", "/log?colour=42,15,21", "/log/music%20cabinet", "/shelf", "/help", "/browsers", "/pair", "/nothing",
		} {
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
		`"application/x-www-form-urlencoded"}, body: %q}).then((r) => r.ok ? "ok" : r.text())`, path, form), awaited))
	require.NoError(b.t, err)
	return said
}
