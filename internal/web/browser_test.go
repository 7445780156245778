package web

import (
	"context"
	"fmt"
	"net"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/dom"
	"github.com/chromedp/cdproto/input"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/logbook"
)

// served is a server on a port of its own, with an empty log.
func served(t testing.TB) (s *Server, host string) {
	s, host, _ = serve(t, emptyLog(t))
	return s, host
}

func emptyLog(t testing.TB) *logbook.Log {
	log, err := openLog(filepath.Join(t.TempDir(), "log.db"))
	require.NoError(t, err)
	return log
}

func openLog(path string) (*logbook.Log, error) {
	return logbook.Open(context.Background(), path, logbook.Options{Make: true})
}

// serve serves a log on a port of its own; end ends that and closes the log, and comes by itself when the test ends.
func serve(t testing.TB, log *logbook.Log) (s *Server, host string, end func()) {
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
	t    testing.TB
	ctx  context.Context
	s    *Server
	host string
	name string

	mouse bool // in place of a finger
	taps  int  // that it has made, or clicks
	views map[string][]byte

	framed bool // the pages are in a frame of the site that runs the program
	mutex  sync.Mutex
	inside cdpruntime.ExecutionContextID // of the page in the frame; 0 for none
	faults []string                      // what its console says, and requests to elsewhere
}

var drawnCabinet = sync.OnceValue(bench.HardPiece)

// newBrowser opens a browser on a server of its own, and pairs the two.
func newBrowser(t testing.TB, width, height int64) *browser {
	path := chromium(t)
	s, host := served(t)
	b := openBrowser(t, path, host, width, height)
	b.s = s
	b.pair(s.NewCode())
	return b
}

// chromium is where a browser is; without one the test is skipped.
func chromium(t testing.TB) string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no Chromium here: the pages are not tried in a browser")
	return ""
}

// openBrowser opens a browser for the pages of a host.
func openBrowser(t testing.TB, path, host string, width, height int64) *browser {
	return openProfile(t, path, t.TempDir(), host, 3*time.Minute, width, height)
}

// openProfile is openBrowser with what a browser kept in a folder; it ends with the test or after some time.
func openProfile(t testing.TB, path, profile, host string, patience time.Duration, width, height int64) *browser {
	options := append(
		chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.UserDataDir(profile),
	)
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewExecAllocator(ctx, options...)
	t.Cleanup(cancel)
	return tabOf(ctx, t, host, width, height)
}

// tabOf opens a page within a context.
func tabOf(ctx context.Context, t testing.TB, host string, width, height int64, options ...chromedp.ContextOption) *browser {
	b := &browser{t: t, host: host, views: map[string][]byte{}, name: strings.ReplaceAll(t.Name(), "/", "-")}
	var cancel context.CancelFunc
	b.ctx, cancel = chromedp.NewContext(ctx, append(options, chromedp.WithListener(b.hear))...)
	t.Cleanup(cancel)
	if err := chromedp.Do(b.ctx, chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch)); err != nil {
		t.Skipf("Chromium does not start here: %v", err)
	}
	return b
}

// pair pairs a browser by a code.
func (b *browser) pair(code string) {
	b.t.Helper()
	b.open("/pair?code=" + code)
	js[bool](b, `(document.querySelector("form[action='/pair']").submit(), true)`)
	b.until(`document.querySelector("h1")?.textContent === "Paired"`)
}

// hear notes what should not be: errors and warnings, and requests to elsewhere.
func (b *browser) hear(event any) {
	fault := ""
	switch e := event.(type) {
	case *cdpruntime.EventExecutionContextCreated:
		b.entered(e.Context)
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
	if b.framed && strings.HasSuffix(fault, "/version.json") {
		return // a newer version is asked for, and where the host is gone nobody answers
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
	if b.framed {
		b.openInside(path)
		return
	}
	b.do(chromedp.Navigate("http://" + b.host + path))
}

// js evaluates an expression.
func js[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, b.onPage))
	require.NoError(b.t, err, expression)
	return v
}

// until waits until an expression holds.
func (b *browser) until(expression string) {
	b.t.Helper()
	tries := 600
	if b.framed {
		tries *= 5 // the program takes longer there
	}
	for range tries {
		if v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression, b.onPage)); err == nil && v {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.shot("stuck")
	b.quiet()
	require.Fail(b.t, "it never came to pass", "%s\n%s", expression, js[string](b, `(document.querySelector("dialog") || `+
		`document.body).innerText`))
}

// shotsFolder is where pictures of the pages are kept; "" where they are not.
func shotsFolder() string { return os.Getenv("HUEWRIGHT_SHOTS") }

// shot takes a picture, to be looked at, where HUEWRIGHT_SHOTS names a folder.
func (b *browser) shot(name string) {
	dir := shotsFolder()
	if dir == "" {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	require.NoError(b.t, err)
	require.NoError(b.t, os.WriteFile(filepath.Join(dir, b.name+"-"+name+".png"), picture, 0o644))
}

// view takes a picture of what is on the screen, to be looked at or to be in README.
func (b *browser) view(name string) {
	dir := os.Getenv("HUEWRIGHT_SHOTS")
	if dir == "" && !*update {
		return
	}
	picture, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	require.NoError(b.t, err)
	if *update {
		b.views[name] = picture
	}
	if dir != "" {
		require.NoError(b.t, os.WriteFile(filepath.Join(dir, b.name+"-"+name+".png"), picture, 0o644))
	}
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
	b.tapAt(spotOnScreen{x, y})
	// A headless browser does not always make a click of a touch that follows a pull.
	for range 8 {
		if tapped, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool]("window.tapped === true || window.tapped === "+
			"undefined", b.onPage)); err == nil && tapped {
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
func boxOf(outline string, t testing.TB) (low, high spotOnScreen) {
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
	require.LessOrEqual(b.t, js[float64](b, "document.documentElement.scrollWidth"),
		js[float64](b, "document.documentElement.clientWidth"), "no scrolling sideways")
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
	chosen := js[*cdpruntime.RemoteObject](b, `document.querySelector("#chosen")`)
	_, err := chromedp.Call(b.ctx, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{path}, ObjectID: chosen.ObjectID})
	require.NoError(b.t, err)
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
	b.tapAt(spot)
}

// tapAt taps a place on the screen, or clicks there.
func (b *browser) tapAt(at spotOnScreen) {
	b.t.Helper()
	b.taps++
	if b.mouse {
		b.do(chromedp.MouseClickXY(at.X, at.Y))
		return
	}
	b.touch("touchStart", &input.TouchPoint{X: at.X, Y: at.Y})
	b.touch("touchEnd")
}

// middleOf is a place well within an outline.
func middleOf(o imageio.Outline, t testing.TB) spotOnScreen {
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
	piece := b.piece()
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
