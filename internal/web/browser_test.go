package web

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/logbook"
)

// served is a server on a port of its own, with an empty log.
func served(t *testing.T) (s *Server, host string) {
	s, host, _ = serve(t, emptyLog(t))
	return s, host
}

func emptyLog(t *testing.T) *logbook.Log {
	log, err := openLog(filepath.Join(t.TempDir(), "log.db"))
	require.NoError(t, err)
	return log
}

func openLog(path string) (*logbook.Log, error) {
	return logbook.Open(context.Background(), path, logbook.Options{Make: true})
}

// serve serves a log on a port of its own; end ends that and closes the log, and comes by itself when the test ends.
func serve(t *testing.T, log *logbook.Log) (s *Server, host string, end func()) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	host = l.Addr().String()
	s, err = New(log, Options{Hosts: []string{host}, Program: "test"})
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	end = sync.OnceFunc(func() {
		stop()
		<-ended
		require.NoError(t, log.Close())
	})
	t.Cleanup(end)
	return s, host, end
}

// A browser is a real one, showing the pages as a phone does.
type browser struct {
	t    *testing.T
	ctx  context.Context
	s    *Server
	host string
	name string

	taps int // that it has made

	mutex  sync.Mutex
	faults []string // what its console says, and requests to elsewhere
}

var drawnCabinet = sync.OnceValue(bench.HardPiece)

func newBrowser(t *testing.T, width, height int64) *browser {
	var chromium string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			chromium = path
			break
		}
	}
	if chromium == "" {
		t.Skip("no Chromium here: the pages are not tried in a browser")
	}
	s, host := served(t)
	b := &browser{t: t, s: s, host: host, name: strings.ReplaceAll(t.Name(), "/", "-")}
	options := append(
		chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.UserDataDir(t.TempDir()),
	)
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(cancel)
	b.ctx, cancel = chromedp.NewContext(ctx, chromedp.WithListener(b.hear))
	t.Cleanup(cancel)
	if err := chromedp.Do(b.ctx, chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch)); err != nil {
		t.Skipf("Chromium does not start here: %v", err)
	}
	b.open("/pair?code=" + s.NewCode())
	js[bool](b, `(document.querySelector("form[action='/pair']").submit(), true)`)
	b.until(`document.querySelector("h1")?.textContent === "Paired"`)
	return b
}

// hear notes what should not be: errors and warnings, and requests to elsewhere.
func (b *browser) hear(event any) {
	fault := ""
	switch e := event.(type) {
	case *cdpruntime.EventExceptionThrown:
		fault = "exception: " + e.ExceptionDetails.Text
		if e.ExceptionDetails.Exception != nil {
			fault += " " + e.ExceptionDetails.Exception.Description
		}
	case *cdpruntime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" {
			fault = fmt.Sprintf("console %s: %s", e.Type, e.Args[0].Value)
		}
	case *cdplog.EventEntryAdded:
		if e.Entry.Level == "error" || e.Entry.Level == "warning" {
			fault = "log: " + e.Entry.Text + " " + e.Entry.URL
		}
	case *network.EventRequestWillBeSent:
		if u := e.Request.URL; !strings.HasPrefix(u, "http://"+b.host+"/") && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "blob:") {
			fault = "request to elsewhere: " + u
		}
	}
	if fault != "" {
		b.mutex.Lock()
		defer b.mutex.Unlock()
		b.faults = append(b.faults, fault)
	}
}

func (b *browser) quiet() {
	b.t.Helper()
	b.mutex.Lock()
	defer b.mutex.Unlock()
	require.Empty(b.t, b.faults)
}

func (b *browser) do(actions ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	require.NoError(b.t, chromedp.Do(b.ctx, actions...))
}

func (b *browser) open(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate("http://" + b.host + path))
}

// js evaluates an expression.
func js[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err, expression)
	return v
}

// until waits until an expression holds.
func (b *browser) until(expression string) {
	b.t.Helper()
	for range 600 {
		if v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression)); err == nil && v {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.shot("stuck")
	b.quiet()
	require.Fail(b.t, "it never came to pass", "%s\n%s", expression, js[string](b, `(document.querySelector("dialog") || `+
		`document.body).innerText`))
}

// shot takes a picture, to be looked at, where HUEWRIGHT_SHOTS names a folder.
func (b *browser) shot(name string) {
	dir := os.Getenv("HUEWRIGHT_SHOTS")
	if dir == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, b.name+"-"+name+".png"), picture, 0o644))
}

// view takes a picture of what is on the screen.
func (b *browser) view(name string) {
	dir := os.Getenv("HUEWRIGHT_SHOTS")
	if dir == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, b.name+"-"+name+".png"), picture, 0o644))
}

type spotOnScreen struct{ X, Y float64 }

func (b *browser) touch(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
	b.t.Helper()
	if points == nil {
		points = []*input.TouchPoint{}
	}
	_, err := chromedp.Call(b.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
	require.NoError(b.t, err)
}

// pull touches one place and pulls to another.
func (b *browser) pull(from, to spotOnScreen) {
	b.t.Helper()
	b.touch("touchStart", &input.TouchPoint{X: from.X, Y: from.Y})
	const steps = 6
	for i := 1; i <= steps; i++ {
		k := float64(i) / steps
		b.touch("touchMove", &input.TouchPoint{X: from.X + k*(to.X-from.X), Y: from.Y + k*(to.Y-from.Y)})
	}
	b.touch("touchEnd")
}

// tap taps what an expression finds, and makes sure that a finger hits it.
func (b *browser) tap(element string) {
	b.t.Helper()
	b.until("!!" + element)
	js[bool](b, element+".scrollIntoView({block: 'center', behavior: 'instant'}), true")
	box := js[map[string]float64](b, "(() => { const r = "+element+".getBoundingClientRect(); return {x: r.x, y: r.y, width: "+
		"r.width, height: r.height} })()")
	require.GreaterOrEqual(b.t, box["height"], 38.0, "a finger hits %s", element)
	x, y := box["x"]+box["width"]/2, box["y"]+box["height"]/2
	require.True(b.t, js[bool](b, fmt.Sprintf("((e, hit) => { window.tapped = false; e.addEventListener('click', () => "+
		"window.tapped = true, {once: true}); return e === hit || e.contains(hit) })(%s, "+
		"document.elementFromPoint(%f, %f))", element, x, y)), "nothing lies over %s", element)
	b.taps++
	b.touch("touchStart", &input.TouchPoint{X: x, Y: y})
	b.touch("touchEnd")
	// A headless browser does not always make a click of a touch that follows a pull.
	for range 8 {
		if tapped, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool]("window.tapped === true || window.tapped === "+
			"undefined")); err == nil && tapped {
			return
		}
		time.Sleep(40 * time.Millisecond)
	}
	js[bool](b, "(window.tapped || "+element+".click(), true)")
}

// button is an expression for the button of a text within a form that does something.
func button(within, text string) string {
	return fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.textContent.trim().startsWith(%q) && `+
		`b.checkVisibility())`, within+" button", text)
}

func (b *browser) fill(selector, value string) {
	b.t.Helper()
	require.True(b.t, js[bool](b, fmt.Sprintf(`(() => { const f = document.querySelector(%q); if (!f) return false; f.value = %q; `+
		`f.dispatchEvent(new Event("input", {bubbles: true})); return true })()`, selector, value)), "no field %s", selector)
}

// at is where a place on the photo is on the screen, in the dialog for drawing.
func (b *browser) at(x, y float64) spotOnScreen {
	b.t.Helper()
	return js[spotOnScreen](b, fmt.Sprintf(`(() => { const svg = document.querySelector("dialog svg.photo-svg"), v = svg.viewBox.baseVal;
		const r = svg.getBoundingClientRect();
		return {X: r.left + (%f - v.x) / v.width * r.width, Y: r.top + (%f - v.y) / v.height * r.height} })()`, x, y))
}

// drawRect opens the drawing of a form's field and pulls a rectangle over an area of the cabinet.
func (b *browser) drawRect(form, legend, area string) {
	b.t.Helper()
	set := fmt.Sprintf(`[...document.querySelectorAll(%q)].find((s) => `+
		`s.querySelector("legend").textContent.startsWith(%q))`, form+" fieldset.draw", legend)
	js[bool](b, fmt.Sprintf("(() => { for (let d = %s.closest('details'); d; d = d.parentElement.closest('details')) d.open = "+
		"true; return true })()", set))
	b.tap(set + ".querySelector('.drawit')")
	b.until(`!!document.querySelector("dialog[open] svg image") && document.querySelector("dialog svg.photo-svg").viewBox.baseVal.width > 0`)
	low, high := boxOf(drawnCabinet().Area(area).Outline.String(), b.t)
	b.pull(b.at(low.X+4, low.Y+4), b.at(high.X-4, high.Y-4))
	b.until(`!!document.querySelector("dialog p svg.swatch")`)
	b.tap(button("dialog", "Done"))
	b.until(`!document.querySelector("dialog")`)
}

// boxOf is a rectangle well within an outline.
func boxOf(outline string, t *testing.T) (low, high spotOnScreen) {
	var xs, ys []float64
	for _, pair := range strings.Fields(outline) {
		var x, y, w, h float64
		if n, _ := fmt.Sscanf(pair, "%f,%f,%f,%f", &x, &y, &w, &h); n == 4 {
			return spotOnScreen{x, y}, spotOnScreen{x + w, y + h}
		}
		_, err := fmt.Sscanf(pair, "%f,%f", &x, &y)
		require.NoError(t, err)
		xs, ys = append(xs, x), append(ys, y)
	}
	low, high = spotOnScreen{xs[0], ys[0]}, spotOnScreen{xs[0], ys[0]}
	for i := range xs {
		low = spotOnScreen{min(low.X, xs[i]), min(low.Y, ys[i])}
		high = spotOnScreen{max(high.X, xs[i]), max(high.Y, ys[i])}
	}
	// Outlines of drawn woods lean a little: a tenth off each side is within.
	dx, dy := 0.12*(high.X-low.X), 0.04*(high.Y-low.Y)
	return spotOnScreen{low.X + dx, low.Y + dy}, spotOnScreen{high.X - dx, high.Y - dy}
}

// noSideways makes sure that nothing is wider than the screen.
func (b *browser) noSideways() {
	b.t.Helper()
	require.LessOrEqual(b.t, js[float64](b, "document.documentElement.scrollWidth"), js[float64](b, "innerWidth"), "no scrolling sideways")
}

// begin begins a piece by its name, and stays on its page.
func (b *browser) begin(name string) {
	b.t.Helper()
	b.open("/")
	js[bool](b, `document.querySelectorAll("main details").forEach((d) => d.open = true), true`)
	b.fill("input[name=name]", name)
	b.tap(button("main", "Begin"))
	b.until(`location.pathname.startsWith("/piece/")`)
}

// choose chooses a photo of the drawn cabinet for the button of a text.
func (b *browser) choose(text, file string, photo []byte) {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), file)
	require.NoError(b.t, os.WriteFile(path, photo, 0o644))
	place := fmt.Sprintf(`[...document.querySelectorAll("label.file")].findIndex((l) => l.textContent.trim().startsWith(%q))`, text)
	b.until(place + " >= 0")
	require.True(b.t, js[bool](b, fmt.Sprintf(`(() => { [...document.querySelectorAll("label.file input")].forEach((i) => `+
		`i.removeAttribute("id")); document.querySelectorAll("label.file")[%s].querySelector("input").id = "chosen"; return true })()`, place)))
	b.do(chromedp.SetUploadFiles("#chosen", []string{path}))
	b.taps++
}

// addPhoto adds the photo of the drawn cabinet to the piece whose page is shown, as its first, and goes to the woods.
func (b *browser) addPhoto() {
	b.t.Helper()
	b.choose("Choose", "front.jpg", drawnCabinet().JPEG)
	b.until(`document.querySelector("#screen").dataset.screen === "woods" && !!document.querySelector("svg.tapped image")`)
}

// screen waits for a screen.
func (b *browser) screen(name string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`document.querySelector("#screen")?.dataset.screen === %q && document.readyState === "complete" && `+
		`!document.querySelector("[aria-busy]")`, name))
}

// tapPhoto taps the middle of an area of the cabinet on the photo.
func (b *browser) tapPhoto(area string) {
	b.t.Helper()
	b.until(`!!document.querySelector("svg.tapped image")`)
	at := middleOf(drawnCabinet().Area(area).Outline, b.t)
	js[bool](b, `document.querySelector("svg.tapped").scrollIntoView({block: "center", behavior: "instant"}), true`)
	spot := js[spotOnScreen](b, fmt.Sprintf(`(() => { const s = document.querySelector("svg.tapped"), p = Object.assign(s.createSVGPoint(), `+
		`{x: %f, y: %f}).matrixTransform(s.getScreenCTM()); return {X: p.x, Y: p.y} })()`, at.X, at.Y))
	hit := js[string](b, fmt.Sprintf(`document.elementFromPoint(%f, %f)?.closest("svg")?.getAttribute("class") ?? ""`, spot.X, spot.Y))
	require.Equal(b.t, "tapped", hit, "nothing lies over the %s on the photo", area)
	b.touch("touchStart", &input.TouchPoint{X: spot.X, Y: spot.Y})
	b.touch("touchEnd")
	b.taps++
}

// middleOf is a place well within an outline.
func middleOf(o imageio.Outline, t *testing.T) spotOnScreen {
	low, high := o.Bounds()
	at := within(o, int(high.X)+1, int(high.Y)+1)
	require.Greater(t, at.X, low.X)
	return spotOnScreen{at.X, at.Y}
}

// taken waits until a tap was answered, with a swatch.
func (b *browser) taken(form string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`!!document.querySelector("#%s:not([hidden]) .patch svg") && `+
		`!document.querySelector(".tell").textContent.startsWith("Looking")`, form))
}

// fits makes sure that a screen is not too tall, that nothing lies beyond its sides, and that its main button is seen without scrolling.
func (b *browser) fits(name string) {
	b.t.Helper()
	b.noSideways()
	tall := js[float64](b, "document.documentElement.scrollHeight / innerHeight")
	require.LessOrEqual(b.t, tall, 2.5, "the screen %s is %.1f phones tall", name, tall)
	js[bool](b, "scrollTo(0, 0), true")
	require.True(b.t, js[bool](b, `[...document.querySelectorAll(".foot .main")].some((m) => { const r = m.getBoundingClientRect(); `+
		`return m.checkVisibility() && r.top >= 0 && r.bottom <= innerHeight && r.height >= 44 })`), "the main button of %s is seen", name)
}

// anEarlierPiece leaves a planned piece in the log, whose wash is known from then on.
func (b *browser) anEarlierPiece() {
	b.t.Helper()
	b.begin("side table")
	b.addPhoto()
	piece := js[string](b, `location.pathname.split("/").slice(0, 3).join("/")`)
	for _, form := range []string{
		"do=area&name=top&surface=sealed&photo=front&outline=" + url.QueryEscape(drawnCabinet().Area(bench.FrameBare).Outline.String()),
		"do=coating&name=nut-brown+wash&kind=wash&paint=1&thinner=4&chip-colour=%235a4030",
		"do=test&coating=nut-brown+wash&ground-photo=front&ground-outline=" +
			url.QueryEscape(drawnCabinet().Area(bench.FrameBare).Outline.String()) + "&result-photo=front&result-outline=" +
			url.QueryEscape(drawnCabinet().Area(bench.FrameTested).Outline.String()),
		"do=target&target-colour=42,15,21", "do=plan",
	} {
		require.Equal(b.t, "ok", post(b, piece+"/do", form), form)
	}
}

// TestFirstCountsOnAPhone comes from the first screen to counts with a coating that the log knows, by touch, and counts the taps;
// nothing is typed or drawn. Then with test coats on both woods, and through a coat at the bench.
func TestFirstCountsOnAPhone(t *testing.T) {
	b := newBrowser(t, 390, 844)
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
	figure.Report(t, "taps to first counts", "%d of 9", b.taps)
	require.LessOrEqual(t, b.taps, 9)
	b.until(`[...document.querySelectorAll(".before-after img")].every((i) => i.complete && i.naturalWidth > 0)`)
	b.fits("answer")
	b.shot("8-answer")

	counted := b.taps
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
	figure.Report(t, "taps to counts with test coats on two woods", "%d of 15", b.taps) // the answer was asked for before
	require.LessOrEqual(t, b.taps, 15)
	require.Greater(t, b.taps, counted)
	b.tap(button(".foot", "See the answer"))
	b.screen("answer")
	b.until(`document.querySelectorAll(".ladder").length === 2 && !!document.querySelector(".foot .main[href=bench]")`)
	b.until(`[...document.querySelectorAll(".before-after img")].every((i) => i.complete && i.naturalWidth > 0)`)
	b.fits("answer after test coats")
	b.view("a-answer")
	b.aCoat(t)
	b.quiet()
}

// aCoat lays the coats of the first wood up to its stop, and looks at it.
func (b *browser) aCoat(t *testing.T) {
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
	figure.Report(t, "taps of a coat that is photographed", "%d of 3", b.taps)
	require.LessOrEqual(t, b.taps, 3)
	b.fits("bench after looking")
	b.view("f-looked")
}

// link is an expression for the link of a text within something.
func link(within, text string) string {
	return fmt.Sprintf(`[...document.querySelectorAll(%q)].find((b) => b.textContent.trim().startsWith(%q) && b.checkVisibility())`,
		within+" a", text)
}

// TestTheJobByHand does the whole job by touch, with outlines that are drawn: of chart, woods, target, chip, test coat and repair.
func TestTheJobByHand(t *testing.T) {
	b := newBrowser(t, 390, 844)
	b.begin("music cabinet")
	b.screen("photos")
	b.fits("photos")
	b.shot("1-new")
	b.addPhoto()
	piece := js[string](b, `location.pathname.split("/").slice(0, 3).join("/")`)
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
	b.do(chromedp.Navigate("http://" + b.host + card))
	b.until(`document.body.innerText.includes("nut-brown wash")`)
	b.noSideways()
	b.do(chromedp.Navigate("http://" + b.host + strings.TrimSuffix(card, "card") + "client"))
	b.until(`document.body.innerText.includes("Over the years")`)
	b.noSideways()
	b.shot("7-client")
	b.open("/log/music%20cabinet")
	b.until(`document.body.innerText.includes("the left door drinks more")`)
	b.noSideways()
	b.shot("8-log")
	b.open("/log?colour=47,18,22")
	b.until(`document.body.innerText.includes("ΔE00")`)
	b.open("/shelf")
	b.until(`document.body.innerText.includes("nut-brown wash")`)
	b.noSideways()
	b.shot("9-shelf")
	b.quiet()
}

// TestPagesInTheDarkAndWide looks at the pages as a desktop has them, dark, and narrow.
func TestPagesInTheDarkAndWide(t *testing.T) {
	b := newBrowser(t, 1280, 900)
	_, err := chromedp.Call(
		b.ctx, emulation.SetEmulatedMedia,
		emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}},
	)
	require.NoError(t, err)
	b.begin("desk")
	b.addPhoto()
	b.tapPhoto(bench.Frame)
	b.taken("name-it")
	b.view("dark")
	piece := js[string](b, `location.pathname.split("/").slice(0, 3).join("/")`)
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
