package web

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
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

	"huewright/internal/bench"
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

// begin begins a piece, and stays on its page.
func (b *browser) begin(name string) {
	b.t.Helper()
	b.open("/")
	b.fill("input[name=name]", name)
	b.tap(button("main", "Begin"))
	b.until(`location.pathname.startsWith("/piece/")`)
}

// addPhoto adds the photo of the drawn cabinet to the piece whose page is shown, as its first.
func (b *browser) addPhoto() {
	b.t.Helper()
	path := filepath.Join(b.t.TempDir(), "front.jpg")
	require.NoError(b.t, os.WriteFile(path, drawnCabinet().JPEG, 0o644))
	b.do(chromedp.SetUploadFiles("input[type=file]", []string{path}))
	b.until(`document.querySelectorAll("article.photo").length === 1`)
}

// TestTheJobOnAPhone does the whole job by touch.
func TestTheJobOnAPhone(t *testing.T) {
	b := newBrowser(t, 390, 844)
	b.begin("music cabinet")
	b.shot("1-new")
	b.addPhoto()
	b.noSideways()
	b.shot("2-photo")

	// A corner of the chart that was found, dragged and dragged back.
	js[bool](b, `document.querySelector("#reference details").open = true`)
	b.tap(button("#reference fieldset[data-draw=corners]", "Show"))
	b.until(`document.querySelectorAll("dialog circle").length === 4 && document.querySelector("dialog ` +
		`svg.photo-svg").viewBox.baseVal.width > 0`)
	c := drawnCabinet().Corners[0]
	from := b.at(c.X, c.Y)
	b.pull(from, spotOnScreen{from.X + 20, from.Y + 14})
	b.view("3-corners")
	b.pull(spotOnScreen{from.X + 20, from.Y + 14}, from)
	b.tap(button("dialog", "Done"))
	b.until(`!document.querySelector("dialog")`)
	b.tap(button("#reference", "Use the chart"))
	b.until(`!document.querySelector("#says > div")`)

	for i, a := range []struct{ name, wood string }{{bench.Frame, "ash"}, {bench.Panel, "sapele"}} {
		js[bool](b, `[...document.querySelectorAll("#areas details")].find((d) => d.textContent.includes("Add an area")).open = true`)
		const form = `form[data-keep="area"]`
		b.fill(form+" input[name=name]", a.name)
		b.fill(form+" input[name=wood]", a.wood)
		b.fill(form+" input[name=size]", "0.5")
		b.drawRect(form, "Where it is", a.name)
		b.tap(button(form, "Add the area"))
		b.until(fmt.Sprintf(`document.querySelectorAll("#areas article.area").length === %d`, i+1))
	}
	b.until(`document.querySelector("#areas").textContent.includes("±")`)
	b.drawRect(`form[data-keep="target"]`, "Something", bench.Target)
	b.tap(button(`form[data-keep="target"]`, "Set"))
	b.until(`document.querySelector("#areas").innerText.includes("marked in photo")`)
	b.shot("4-areas")

	const coating = `form[data-keep="coating"]`
	b.fill(coating+" input[name=name]", "nut-brown wash")
	b.fill(coating+" input[name=paint]", "1")
	b.fill(coating+" input[name=thinner]", "4")
	b.drawRect(coating, "A dried blob", bench.Chip)
	b.tap(button(coating, "Add the coating"))
	b.until(`document.querySelectorAll("#coatings article").length === 1`)
	const test = `form[data-keep="test nut-brown wash"]`
	b.drawRect(test, "The bare wood", bench.FrameBare)
	b.drawRect(test, "The test coat", bench.FrameTested)
	b.tap(button(test, "Add the test coat"))
	b.until(`document.querySelector("#coatings article").innerText.includes("1 test coat")`)

	b.tap(button("#plan", "Plan the coats"))
	b.until(`document.querySelectorAll("#plan article.planned svg.chart").length === 2`)
	b.until(`[...document.querySelectorAll("#plan img")].every((i) => (i.loading = "eager", i.complete && i.naturalWidth > 0))`)
	b.noSideways()
	// Slide half way: the left half shows what would be, the right what is.
	js[bool](b, `(() => { const s = document.querySelector("[data-slide]"); s.value = 50; s.dispatchEvent(new Event("input", `+
		`{bubbles: true})); return true })()`)
	require.Equal(b.t, "inset(0px 0px 0px 50%)", js[string](b, `getComputedStyle(document.querySelector(".over .now")).clipPath`))
	require.True(b.t, js[bool](b, `(() => { const [a, n] = document.querySelectorAll(".over img"); return a.naturalWidth === `+
		`n.naturalWidth && a.naturalHeight === n.naturalHeight && a.src !== n.src })()`))
	b.shot("5-plan")

	// A step is ticked where it stands.
	b.tap(`document.querySelector("#bench .tick")`)
	b.until(`document.querySelector("#bench .tick").ariaChecked === "true"`)
	require.Equal(b.t, 1.0, js[float64](b, `document.querySelectorAll("#bench .tick[aria-checked=true]").length`))
	b.shot("5-ticked")

	// A coat on the frame, seen in the spot under one coat.
	laid := fmt.Sprintf(`form[data-keep="laid %s"]`, bench.Frame)
	b.drawRect(laid, "Photograph", bench.FrameTested)
	b.tap(button(laid, "The coat is on"))
	b.until(`document.querySelector("#bench").textContent.includes("1 coat on")`)
	b.shot("6-bench")

	const repair = `form[data-keep="repair"]`
	b.fill(repair+" input[name=name]", "filled corner")
	b.drawRect(repair, "Where it is", bench.Corner)
	b.tap(button(repair, "Add the repair"))
	b.until(`document.querySelectorAll("#repairs article").length === 1`)
	b.tap(button("#repairs article", "Does it show?"))
	b.until(`document.querySelector("#repairs article").innerText.includes("equal patches")`)
	b.shot("7-repair")

	// A reload loses nothing, nor does what was typed and not sent.
	b.fill(`form[data-keep="note"] textarea`, "the left door drinks more")
	b.do(chromedp.Navigate(js[string](b, "location.href.split('#')[0]")))
	b.until(`document.querySelectorAll("#plan article.planned").length === 2`)
	require.Equal(t, "the left door drinks more", js[string](b, `document.querySelector('form[data-keep="note"] textarea').value`))
	b.tap(button("#card", "Note it"))
	b.until(`!document.querySelector("#says > div")`)

	// Undo takes back the last step.
	b.tap(button(".headline", "Undo"))
	b.until(`document.querySelector(".headline").innerText.includes("Undo")`)

	card := js[string](b, `[...document.querySelectorAll("#card a")].find((a) => a.textContent.includes("to print")).getAttribute("href")`)
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
	b.shot("dark")
	piece := js[string](b, "location.pathname")
	b.do(chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	for i, path := range []string{"/", piece, "/log", "/shelf", "/help", "/browsers", "/nothing-of-the-kind"} {
		b.open(path)
		b.noSideways()
		b.shot(fmt.Sprintf("narrow %d", i+1))
	}
	b.faults = nil // the page that is not there is said to be missing
}
