package web

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
)

// TestFirstCountsOnAPhone comes from the first screen to counts with a coating that the log knows, by touch, and counts the taps;
// nothing is typed or drawn. Then with test coats on both woods, and through a coat at the bench.
func TestFirstCountsOnAPhone(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.firstCounts(func(what string, taps, most int) {
		figure.Report(t, what, "%d of %d", taps, most)
		require.LessOrEqual(t, taps, most, what)
	})
}

// TestTheJobOnADesktop is the same with a mouse, on a desktop's screen.
func TestTheJobOnADesktop(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 1280, 800)
	b.do(chromedp.EmulateViewport(1280, 800))
	b.mouse = true
	b.firstCounts(func(what string, clicks, most int) { require.LessOrEqual(t, clicks, most, what) })
}

// firstCounts does the job from the first screen to a coat that is photographed, and has what it took counted.
func (b *browser) firstCounts(counted func(what string, taps, most int)) {
	t := b.t
	b.anEarlierPiece()
	b.open("/")
	b.fits("pieces")
	b.shot("1-first")
	b.taps = 0
	b.choose("Photograph a piece", "front.jpg", drawnCabinet().JPEG)
	b.screen("woods")
	b.fits("woods")
	b.view("2-woods")
	b.tapPhoto(bench.Frame)
	b.taken("name-it")
	b.view("3-frame")
	b.tapPhoto(bench.Panel) // accepts the name that was offered for the first
	b.until(`document.querySelectorAll(".stage text").length === 1`)
	b.taken("name-it")
	b.fits("woods")
	b.view("4-panel")
	b.tap(button(".foot", "That is it"))
	b.until(`document.querySelectorAll(".stage text").length === 2`)
	b.shot("5-named")
	b.fits("woods named")
	b.tap(link(".foot", "Next: where to"))
	b.screen("goal")
	b.fits("goal")
	b.view("6-goal")
	b.tap(button(".foot", "Make them meet"))
	b.screen("shelf")
	b.fits("shelf")
	b.view("7-shelf")
	b.tap(button(".chips", "nut-brown wash"))
	b.until(`document.querySelectorAll("article.coating").length === 1`)
	shelved := js[string](b, `document.querySelector("article.coating").textContent`)
	require.Contains(t, shelved, "1 part paint to 4 parts thinner", "as it was laid")
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 2`)
	counted("taps to first counts", b.taps, 9)
	b.pictured()
	b.fits("answer")
	b.shot("8-answer")

	before := b.taps
	b.open(js[string](b, `location.pathname.replace("answer", "shelf")`))
	b.tap(link("article.coating", "Add a test coat"))
	b.screen("test")
	b.fits("test")
	b.tapPhoto(bench.FrameBare)
	b.until(`!!document.querySelector('.patch[data-of="ground-"] svg')`)
	b.tapPhoto(bench.FrameTested)
	b.until(`!!document.querySelector('.patch[data-of="result-"] svg')`)
	b.view("9-test")
	b.tapPhoto(bench.PanelBare)
	b.until(`!!document.querySelector('.patch[data-of="ground-"] svg') && !document.querySelector('.patch[data-of="result-"] svg')`)
	b.tapPhoto(bench.PanelTested)
	b.until(`!!document.querySelector('.patch[data-of="result-"] svg')`)
	b.tap(button(".foot", "Keep it"))
	b.screen("shelf")
	b.until(`document.querySelector("article.coating").textContent.includes("2 test coats")`)
	counted("taps to counts with test coats on two woods", b.taps, 15) // the answer was asked for before
	require.Greater(t, b.taps, before)
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 2 && !!document.querySelector(".foot .main[href=bench]")`)
	b.pictured()
	b.fits("answer after test coats")
	b.view("a-answer")
	b.aCoat(counted)
	b.quiet()
}

// aCoat lays the coats of the first wood up to its stop, and looks at it.
func (b *browser) aCoat(counted func(what string, taps, most int)) {
	t := b.t
	b.tap(link(".foot", "Go to the bench"))
	b.screen("bench")
	b.fits("bench")
	b.view("b-bench")
	for i := 1; js[bool](b, `!![...document.querySelectorAll(".foot button")].find((b) => b.textContent.includes("is on") && `+
		`b.classList.contains("main"))`); i++ {
		require.Less(t, i, 8)
		b.taps = 0
		b.tap(button(".foot", fmt.Sprintf("Coat %d is on", i)))
		b.until(`document.querySelector("main").textContent.includes("The last coat went on")`)
		require.Equal(t, 1, b.taps)
		if i == 1 {
			b.view("c-drying")
			b.fits("drying")
		}
		b.until(fmt.Sprintf(`!document.querySelector("[aria-busy]") && `+
			`!document.querySelector(".foot").textContent.includes("Coat %d is on")`, i))
	}
	b.taps = 0
	b.view("d-look")
	b.choose("Photograph it", "after.jpg", append(slices.Clone(drawnCabinet().JPEG), 0)) // what stands behind a picture makes it another file
	b.until(`!!document.querySelector("form#looked") && !!document.querySelector("svg.tapped image")`)
	b.taken("looked") // the frame is found where it was, and nothing need be tapped
	require.Contains(t, js[string](b, `document.querySelector(".tell").textContent`), "Found where it was")
	b.view("e-look")
	b.tap(button(".foot", "That is it"))
	b.until(`!document.querySelector("form#looked") && document.querySelector("#screen").dataset.screen === "bench"`)
	counted("taps of a coat that is photographed", b.taps, 3)
	b.fits("bench after looking")
	b.view("f-looked")
}

// piece is the path of the piece whose page is shown.
func (b *browser) piece() string {
	b.t.Helper()
	return js[string](b, `location.pathname.split("/").slice(0, 3).join("/")`)
}

// pictured waits for the pictures of an answer.
func (b *browser) pictured() {
	b.t.Helper()
	b.until(`[...document.querySelectorAll(".before-after img")].every((i) => i.complete && i.naturalWidth > 0)`)
}

// link is an expression for the link of a text within something.
func link(within, text string) string {
	return fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.textContent.trim().startsWith(%q) && b.checkVisibility())`,
		within+" a", text)
}

// TestTheJobByHand does the whole job by touch, with outlines that are drawn: of chart, woods, target, chip, test coat and repair.
func TestTheJobByHand(t *testing.T) {
	t.Parallel()
	newBrowser(t, 390, 844).jobByHand(t)
}

func (b *browser) jobByHand(t *testing.T) {
	b.begin("music cabinet")
	b.screen("photos")
	b.fits("photos")
	b.shot("1-new")
	b.addPhoto()
	piece := b.piece()
	b.open(piece + "/photos")
	b.fits("photos")
	b.shot("2-photo")

	// A corner of the chart that was found, dragged and dragged back.
	b.open(piece + "/light")
	b.shot("3-light")
	js[bool](b, `document.querySelector("#chart").open = true`)
	b.tap(button("#chart", "Show"))
	b.until(`document.querySelectorAll("dialog circle").length === 4 && document.querySelector("dialog ` +
		`svg.photo-svg").viewBox.baseVal.width > 0`)
	c := drawnCabinet().Corners[0]
	from := b.at(c.X, c.Y)
	b.pull(from, spotOnScreen{from.X + 20, from.Y + 14})
	b.view("3-corners")
	b.pull(spotOnScreen{from.X + 20, from.Y + 14}, from)
	b.tap(button("dialog", "Done"))
	b.until(`!document.querySelector("dialog")`)
	b.tap(button("#chart", "Use the chart"))
	b.until(`!document.querySelector("#says > div")`)

	b.open(piece + "/outlines")
	for i, a := range []struct{ name, wood string }{{bench.Frame, "ash"}, {bench.Panel, "sapele"}} {
		js[bool](b, `document.querySelector("#add").open = true`)
		const form = `form[data-keep="area"]`
		b.fill(form+" input[name=name]", a.name)
		b.fill(form+" input[name=wood]", a.wood)
		b.fill(form+" input[name=size]", "0.5")
		b.drawRect(form, "Where it is", a.name)
		b.tap(button(form, "Add the area"))
		b.screen("woods")
		b.until(fmt.Sprintf(`document.querySelectorAll("details.area").length === %d`, i+1))
		if i == 0 {
			b.tap(link("main", "Draw or type"))
			b.screen("outlines")
		}
	}
	b.until(`document.querySelector("details.area").textContent.includes("±")`)
	b.open(piece + "/goal")
	js[bool](b, `document.querySelector("main details").open = true`)
	b.drawRect(`form[data-keep="target"]`, "Something", bench.Target)
	b.tap(button(`form[data-keep="target"]`, "Set"))
	b.screen("shelf")
	b.open(piece + "/goal")
	b.until(`document.querySelector("main").innerText.includes("marked in photo")`)
	b.shot("4-goal")

	b.open(piece + "/coating")
	const coating = `form#coating`
	b.fill(coating+" input[name=name]", "nut-brown wash")
	b.fill(coating+" input[name=paint]", "1")
	b.fill(coating+" input[name=thinner]", "4")
	b.tapPhoto(bench.Chip)
	b.taken("coating")
	b.view("5-coating")
	b.tap(button(".foot", "Put it on the shelf"))
	b.screen("shelf")
	b.until(`document.querySelectorAll("article.coating svg.swatch").length === 1`)
	b.tap(link("article.coating", "Add a test coat"))
	b.screen("test")
	const test = `form[data-keep="drawn test nut-brown wash"]`
	b.drawRect(test, "The bare wood", bench.FrameBare)
	b.drawRect(test, "The test coat", bench.FrameTested)
	b.tap(button(test, "Add the test coat"))
	b.until(`document.querySelector("main").innerText.includes("1 test coat kept")`)
	b.open(piece + "/shelf")
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 2`)
	js[bool](b, `document.querySelectorAll("main details").forEach((d) => d.open = true), true`)
	b.until(`[...document.querySelectorAll("main img")].every((i) => (i.loading = "eager", i.complete && i.naturalWidth > 0))`)
	b.noSideways()
	require.Equal(t, 2, js[int](b, `document.querySelectorAll("main svg.chart").length`))
	// Slide half way: the left half shows what would be, the right what is.
	js[bool](b, `(() => { const s = document.querySelector("[data-slide]"); s.value = 50; s.dispatchEvent(new Event("input", `+
		`{bubbles: true})); return true })()`)
	require.Equal(b.t, "inset(0px 0px 0px 50%)", js[string](b, `getComputedStyle(document.querySelector(".over .now")).clipPath`))
	require.True(b.t, js[bool](b, `(() => { const [a, n] = document.querySelectorAll(".over img"); return a.naturalWidth === `+
		`n.naturalWidth && a.naturalHeight === n.naturalHeight && a.src !== n.src })()`))
	b.shot("6-answer")
	day := js[string](b, `document.querySelector(".over img").src`)
	b.tap(link(".stage", "By lamp"))
	b.until(fmt.Sprintf(`(() => { const i = document.querySelector(".over img"); return i.complete && i.naturalWidth > 0 && `+
		`i.src !== %q })()`, day))
	b.view("6-lamp")
	b.tap(link(".stage", "By day"))
	require.Equal(t, day, js[string](b, `document.querySelector(".over img").src`))

	// A step is ticked where it stands.
	b.open(piece + "/bench")
	js[bool](b, `document.querySelector("#times").open = true`)
	b.tap(`document.querySelector("#times .tick")`)
	b.until(`document.querySelector("#times .tick").ariaChecked === "true"`)
	require.Equal(b.t, 1.0, js[float64](b, `document.querySelectorAll("#times .tick[aria-checked=true]").length`))
	require.True(b.t, js[bool](b, `document.querySelector("#times").open`), "what was ticked stays in sight")
	b.shot("6-ticked")

	b.open(piece + "/repairs")
	js[bool](b, `document.querySelectorAll("main details").forEach((d) => d.open = true), true`)
	const repair = `form[data-keep="repair"]`
	b.fill(repair+" input[name=name]", "filled corner")
	b.drawRect(repair, "Where it is", bench.Corner)
	b.tap(button(repair, "Add the repair"))
	b.until(`document.querySelectorAll("article.judged").length === 1`)
	b.tap(button("article.judged", "Does it show?"))
	b.until(`document.querySelector("article.judged").innerText.includes("equal patches")`)
	b.shot("7-repair")

	// A reload loses nothing, nor does what was typed and not sent.
	b.open(piece + "/papers")
	b.fill(`form[data-keep="note"] textarea`, "the left door drinks more")
	b.open(piece + "/answer")
	b.until(`document.querySelectorAll(".ladder").length === 2`)
	b.open(piece + "/papers")
	require.Equal(t, "the left door drinks more", js[string](b, `document.querySelector('form[data-keep="note"] textarea').value`))
	b.tap(button("main", "Note it"))
	b.until(`!document.querySelector("#says > div")`)

	// Undo takes back the last step.
	undo := `document.querySelector('.bar button[aria-label^="Undo"]')`
	was := js[string](b, undo+`.getAttribute("aria-label")`)
	b.tap(undo)
	b.until(fmt.Sprintf(`%s.getAttribute("aria-label") !== %q`, undo, was))

	card := js[string](b, `[...document.querySelectorAll("main a")].find((a) => a.textContent.includes("to print")).getAttribute("href")`)
	b.open(card)
	b.until(`document.body.innerText.includes("nut-brown wash")`)
	b.noSideways()
	b.open(strings.TrimSuffix(card, "card") + "client")
	b.until(`document.body.innerText.includes("Over the years")`)
	b.noSideways()
	b.shot("7-client")
	b.open("/log/music%20cabinet")
	b.until(`document.body.innerText.includes("the left door drinks more")`)
	b.noSideways()
	b.shot("8-log")
	b.open("/log?colour=47,18,22")
	b.until(`document.body.innerText.includes("Like this colour")`)
	b.open("/shelf")
	b.until(`document.body.innerText.includes("nut-brown wash")`)
	b.noSideways()
	b.shot("9-shelf")
	b.quiet()
}

// TestPagesInTheDarkAndWide looks at the pages as a desktop has them, dark, and narrow.
func TestPagesInTheDarkAndWide(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 1280, 900)
	b.inLight("dark")
	b.begin("desk")
	b.addPhoto()
	b.tapPhoto(bench.Frame)
	b.taken("name-it")
	b.view("dark")
	piece := b.piece()
	b.do(chromedp.EmulateViewport(360, 640, chromedp.EmulateMobile, chromedp.EmulateTouch))
	for i := range screens {
		b.open(piece + "/" + screens[i].name)
		b.fits(screens[i].name)
		b.shot("narrow " + screens[i].name)
	}
	for i, path := range []string{"/", "/log", "/shelf", "/help", "/browsers", "/nothing-of-the-kind"} {
		b.open(path)
		b.noSideways()
		b.shot(fmt.Sprintf("narrow %d", i+1))
	}
	b.faults = nil // the page that is not there is said to be missing
}
