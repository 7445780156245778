package web

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
)

// inLight shows the pages in a light or a dark scheme.
func (b *browser) inLight(scheme string) {
	b.t.Helper()
	_, err := chromedp.Call(
		b.ctx, emulation.SetEmulatedMedia,
		emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}},
	)
	require.NoError(b.t, err)
}

// setFile chooses a file for an input.
func (b *browser) setFile(selector, path string) {
	b.t.Helper()
	b.do(chromedp.SetUploadFiles(selector, []string{path}))
}

// lookAt takes pictures of a screen on a phone and on a desktop, light and dark, where HUEWRIGHT_SHOTS names a folder.
func (b *browser) lookAt(name string) {
	b.t.Helper()
	if shotsFolder() == "" {
		return
	}
	for _, scheme := range []string{"light", "dark"} {
		b.inLight(scheme)
		b.shot(name + " phone " + scheme)
		b.do(chromedp.EmulateViewport(1280, 800))
		b.view(name + " desktop " + scheme)
		b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
	}
	b.inLight("light")
}

// TestTheDemoByTouch tries the music cabinet, from the first screen to a coat at its bench, and takes it away.
func TestTheDemoByTouch(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.open("/")
	b.until(`[...document.querySelectorAll("main img")].every((i) => i.complete && i.naturalWidth > 0)`)
	b.fits("first")
	b.lookAt("first")
	b.taps = 0
	b.tap(button("main", "Try the music cabinet"))
	b.screen("woods")
	require.Equal(t, 3, js[int](b, `document.querySelectorAll(".stage text").length`))
	b.fits("woods of the demo")
	b.lookAt("woods")
	b.tap(link(".foot", "Next: where to"))
	b.screen("goal")
	b.lookAt("goal")
	b.tap(link(".foot", "Next: the shelf"))
	b.screen("shelf")
	b.fits("shelf of the demo")
	b.lookAt("shelf")
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 3`)
	figure.Report(t, "taps from the first screen to the answer of the demo", "%d of 4", b.taps)
	require.LessOrEqual(t, b.taps, 4)
	b.pictured()
	b.lookAt("answer")
	b.fits("answer of the demo")
	b.tap(button(".choices", "Choose this"))
	b.until(`document.querySelector("main").textContent.includes("You chose this plan.") && !document.querySelector("[aria-busy]")`)
	b.until(`[...document.querySelectorAll(".before-after img, .choices img")].every((i) => (i.loading = "eager", i.complete && ` +
		`i.naturalWidth > 0))`)
	b.lookAt("answer chosen")
	b.fits("answer with another plan")
	require.Zero(t, js[float64](b, "scrollY"), "what was chosen is seen")
	require.Contains(t, js[string](b, `document.querySelector(".choices").textContent`), "Suggested.")
	b.tap(button(".choices", "Choose this"))
	b.until(`!document.querySelector("main").textContent.includes("You chose this plan.") && !document.querySelector("[aria-busy]")`)
	b.tap(link(".foot", "Go to the bench"))
	b.screen("bench")
	b.tap(button(".foot", "Coat 1 is on"))
	b.until(`document.querySelector("main").textContent.includes("The last coat went on")`)
	b.fits("bench of the demo")
	b.lookAt("bench")
	for i := 2; !js[bool](b, `document.querySelector("main").textContent.includes("Stop and look.")`); i++ {
		require.Less(t, i, 6)
		b.tap(button(".foot", fmt.Sprintf("Coat %d is on", i)))
		b.until(fmt.Sprintf(`!document.querySelector("[aria-busy]") && `+
			`!document.querySelector(".foot").textContent.includes("Coat %d is on")`, i))
	}
	b.tap(button(".foot", "Photograph it"))
	b.screen("bench")
	b.taken("looked")
	b.lookAt("looked")
	b.tap(button(".foot", "That is it"))
	b.until(`!document.querySelector("form#looked") && document.querySelector("#screen").dataset.screen === "bench" && ` +
		`!document.querySelector("[aria-busy]")`)
	b.lookAt("measured")
	laid := b.s.tryout.server
	draft, err := laid.drafts.load(demoID)
	require.NoError(t, err)
	m, err := laid.planned(context.Background(), draft)
	require.NoError(t, err)
	require.Len(t, m.result.Areas[0].Laid, 1)
	require.Less(t, m.result.Areas[0].Laid[0].Prediction.DeltaE, 6.0, "it comes out about as foretold")
	b.open("/")
	b.until(`document.querySelector("main").textContent.includes("music cabinet (demo)")`)
	b.lookAt("first with demo")
	b.tap(button("main", "Take it away"))
	b.until(`!document.querySelector("main").textContent.includes("music cabinet (demo)")`)
	b.quiet()
}
