package web

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/andybalholm/brotli"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/phone"
)

// A staticHost serves the folder that HUEWRIGHT_SITE names, as .ci/site builds it, under a path.
type staticHost struct {
	host  string
	files atomic.Pointer[http.Handler]
	asked atomic.Int64 // requests
	paths sync.Map     // what was asked for
	came  atomic.Int64 // bytes
	says  bool         // how the program is packed, so that the browser unpacks it on the way
	stop  func()
}

func (h *staticHost) serve(under, folder string) {
	files := http.StripPrefix(under, http.FileServer(http.Dir(folder)))
	h.files.Store(&files)
}

func hostSite(t *testing.T, under string) *staticHost {
	folder := os.Getenv("HUEWRIGHT_SITE")
	if folder == "" {
		t.Skip("HUEWRIGHT_SITE names no folder that .ci/site built")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	h := &staticHost{host: l.Addr().String()}
	h.serve(under, folder)
	server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost { // for brotliByHost
			packed, _ := io.ReadAll(r.Body)
			_, _ = io.Copy(w, brotli.NewReader(bytes.NewReader(packed)))
			return
		}
		if strings.HasSuffix(r.URL.Path, ownScript) {
			own(w)
			return
		}
		if h.says && strings.HasSuffix(r.URL.Path, ".packed") {
			w.Header().Set("Content-Encoding", "gzip")
		}
		h.asked.Add(1)
		h.paths.Store(r.URL.Path, true)
		(*h.files.Load()).ServeHTTP(&counted{w, &h.came}, r)
	})}
	go func() { _ = server.Serve(l) }()
	h.stop = func() { _ = server.Close() }
	t.Cleanup(h.stop)
	return h
}

type counted struct {
	http.ResponseWriter
	bytes *atomic.Int64
}

func (c *counted) Write(data []byte) (int, error) {
	c.bytes.Add(int64(len(data)))
	return c.ResponseWriter.Write(data)
}

// inTheLongRun skips a test in the short one, for which the program starts too slowly in a browser.
func inTheLongRun(t *testing.T) {
	if !figure.Long() {
		t.Skip("only with " + figure.Variable + "=1")
	}
}

// visit starts a browser and comes to the site for the first time.
func (h *staticHost) visit(t *testing.T, under string, patience time.Duration) *browser {
	b := openProfile(t, chromium(t), t.TempDir(), h.host, patience, 390, 844)
	b.framed = true
	b.startSite(under)
	return b
}

// startSite loads the site, and waits until the program shows a page.
func (b *browser) startSite(under string) time.Duration {
	b.t.Helper()
	began := time.Now()
	b.mutex.Lock()
	b.inside = 0
	b.mutex.Unlock()
	b.do(chromedp.Navigate("http://" + b.host + under + "/"))
	b.untilShell(`!!document.querySelector("iframe")`)
	b.until(`document.readyState === "complete" && !!document.querySelector("#main")`)
	return time.Since(began)
}

// shell evaluates an expression in the page that holds the frame.
func shell[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	require.NoError(b.t, err, expression)
	return v
}

func (b *browser) untilShell(expression string) {
	b.t.Helper()
	for range 2400 {
		if v, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression)); err == nil && v {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	b.shot("stuck")
	require.Fail(b.t, "it never came to pass", "%s\n%s\n%v", expression, shell[string](b, "document.body.innerText"), b.faults)
}

// entered notes the page that has come into the frame.
func (b *browser) entered(c *cdpruntime.ExecutionContextDescription) {
	var about struct {
		IsDefault bool   `json:"isDefault"`
		Frame     string `json:"frameId"`
	}
	if !b.framed || json.Unmarshal(c.AuxData, &about) != nil || !about.IsDefault ||
		about.Frame == string(chromedp.FromContext(b.ctx).Target.TargetID) {
		return
	}
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.inside = c.ID
}

// onPage has an expression evaluated in the page of the program.
func (b *browser) onPage(p *cdpruntime.EvaluateParams) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if b.framed && b.inside != 0 {
		p.ContextID = b.inside
	}
}

// openInside goes to another page within the frame.
func (b *browser) openInside(path string) {
	b.t.Helper()
	js[bool](b, `(window.left = true, location.assign(`+string(must(json.Marshal(path)))+`), true)`)
	b.until(`!window.left && document.readyState === "complete"`)
}

// TestASiteByItself begins a piece where a browser runs the program, from a folder of static files under a path, and goes on with it
// when the host is gone.
func TestASiteByItself(t *testing.T) {
	h := hostSite(t, "/tools/wood")
	b := h.visit(t, "/tools/wood", 8*time.Minute)
	figure.Report(t, "first visit of the site", "%.1f MB", float64(h.came.Load())/1e6)
	require.LessOrEqual(t, h.came.Load(), int64(10e6), "bytes of a first visit")
	b.open("/tools/wood/help")
	require.Contains(t, js[string](b, `document.querySelector("main").innerText`), "stay in this browser")
	b.open("/tools/wood/")
	js[bool](b, `document.querySelectorAll("main details").forEach((d) => d.open = true), true`)
	b.fill("input[name=name]", "a chest")
	b.tap(button("main", "Begin"))
	b.until(`location.pathname.startsWith("/tools/wood/piece/")`)
	b.choose("Choose", "front.jpg", drawnCabinet().JPEG)
	b.screen("woods")
	b.tapPhoto(bench.Frame)
	b.taken("name-it")
	b.tap(button(".foot", "That is it"))
	b.until(`document.querySelectorAll(".stage text").length === 1`)
	b.shot("woods")
	b.untilShell(`location.hash.startsWith("#piece/")`) // so that a reload comes back to it
	where := shell[string](b, `location.hash`)

	again := func() {
		b.mutex.Lock()
		b.inside = 0
		b.mutex.Unlock()
		shell[bool](b, `(location.reload(), true)`)
		b.until(`document.querySelectorAll(".stage text").length === 1`)
		require.Equal(t, where, shell[string](b, `location.hash`))
	}
	// Whoever comes again fetches nothing of the site: it is only asked whether there is a newer one.
	h.paths.Clear()
	again()
	h.paths.Range(func(path, _ any) bool {
		require.Regexp(t, `^/tools/wood/(version\.json|sw-[0-9a-f]+\.js)$`, path)
		return true
	})
	asked := h.asked.Load()
	h.stop()
	again()
	require.Equal(t, asked, h.asked.Load())
	b.startSite("/tools/wood")
	require.Contains(t, js[string](b, `document.querySelector("main").innerText`), "a chest")
	b.quiet()
}

// TestTheJobOnASite does the whole job by touch as the pages' own tests do, where a browser runs the program; the host is gone for half
// of it.
func TestTheJobOnASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	b := h.visit(t, "", 30*time.Minute)
	b.firstCounts(func(what string, taps, most int) { require.LessOrEqual(t, taps, most, what) })
	h.stop()
	b.startSite("")
	b.jobByHand(t)
}

// TestASecondTab opens the site in a second tab, which says so, and takes over.
func TestASecondTab(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	h.says = true
	b := h.visit(t, "", 8*time.Minute)
	b.begin("before")
	second := tabOf(b.ctx, t, h.host, 390, 844)
	second.framed = true
	second.do(chromedp.Navigate("http://" + h.host + "/"))
	second.untilShell(`document.querySelector("#tell").textContent.includes("in another tab") && !document.querySelector("iframe")`)
	second.untilShell(`document.querySelector("#do").checkVisibility()`)
	shell[bool](second, `(document.querySelector("#do").click(), true)`)
	second.untilShell(`!!document.querySelector("iframe")`)
	second.until(`!!document.querySelector("main")?.innerText.includes("before")`)
	b.untilShell(`!document.querySelector("iframe") && document.querySelector("#tell").textContent.includes("in another tab")`)
	second.begin("after")
	shell[bool](b, `(document.querySelector("#do").click(), true)`)
	b.untilShell(`!!document.querySelector("iframe")`)
	b.until(`!!document.body?.innerText.includes("before")`)
	b.open("/")
	b.until(`!!document.querySelector("main")?.innerText.includes("after")`)
}

// A killedSite is a piece in a browser whose program is ended again and again, with all that it was told to be kept.
type killedSite struct {
	*browser
	at     string // the piece
	notes  []string
	years  []int // of the last change that was answered, and of those since that were not
	photos int   // that were answered
	n      int
}

// post asks the program for something, and reports whether that was told to be done; false where it was ended.
func (k *killedSite) post(path, body string) bool {
	said, err := chromedp.Run(k.ctx, chromedp.Evaluate[string](fmt.Sprintf(`fetch(%q, {redirect: "manual", %s})`+
		`.then((r) => r.ok || r.type === "opaqueredirect" ? "ok" : r.text(), (e) => String(e))`, path, body), awaited, k.onPage))
	if err != nil {
		return false
	}
	if said != "ok" {
		require.Regexp(k.t, "started again|Failed to fetch", said)
	}
	return said == "ok"
}

// step keeps a note, a change of the piece or a photo.
func (k *killedSite) step() bool {
	k.n++
	switch rand.IntN(5) {
	case 0, 1:
		note := fmt.Sprintf("note %d.", k.n)
		if !k.post(k.at+"/do", posting("do=note&note="+url.QueryEscape(note))) {
			return false
		}
		k.notes = append(k.notes, note)
	case 2, 3:
		year := 1000 + k.n
		k.years = append(k.years, year)
		if !k.post(k.at+"/do", posting(fmt.Sprintf("do=piece&year=%d", year))) {
			return false
		}
		k.years = []int{year}
	default:
		if k.photos >= 60 { // of the 100 that a piece may have; some are kept that were not answered
			return true
		}
		if !k.post(k.at+"/photo", sending("photo", "a.jpg", append(bytes.Clone(smallPhoto()), byte(k.n), byte(k.n>>8)))) {
			return false
		}
		k.photos++
	}
	return true
}

// smallPhoto is a photo of little but pixels, for what is about other things.
var smallPhoto = sync.OnceValue(func() []byte {
	img := image.NewNRGBA(image.Rect(0, 0, 320, 240))
	for i := range img.Pix {
		img.Pix[i] = uint8(100 + i%64)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		panic(err) // it is written to memory
	}
	return out.Bytes()
})

// holds takes the log out of the browser and compares it with what was told to be kept.
func (k *killedSite) holds() {
	log := k.takeOut("")
	defer func() { require.NoError(k.t, log.Close()) }()
	whole(k.t, log)
	drafts, err := openDrafts(log.DraftFolder())
	require.NoError(k.t, err)
	d, err := drafts.load(strings.TrimPrefix(k.at, "/piece/"))
	require.NoError(k.t, err)
	require.Zero(k.t, d.damaged)
	require.Contains(k.t, k.years, d.Piece.YearMade)
	require.GreaterOrEqual(k.t, len(d.Photos), k.photos)
	k.years, k.photos = []int{d.Piece.YearMade}, len(d.Photos)
	for _, p := range d.Piece.Photos {
		_, err := log.Photo(p.File)
		require.NoError(k.t, err)
	}
	entries, err := log.Timeline(k.t.Context(), "a chest")
	require.NoError(k.t, err)
	var kept strings.Builder
	for _, e := range entries {
		kept.WriteString(e.Note + "\n")
	}
	for _, note := range k.notes {
		require.Contains(k.t, kept.String(), note)
	}
}

// TestKilledOnASite ends the worker, by a reload, or the whole browser at moments of chance while notes, changes and photos are kept: what
// was answered is there, and the log is whole.
func TestKilledOnASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	path, profile := chromium(t), t.TempDir()
	open := func() *browser {
		b := openProfile(t, path, profile, h.host, 40*time.Minute, 390, 844)
		b.framed = true
		b.startSite("")
		return b
	}
	k := &killedSite{browser: open(), years: []int{0}}
	k.begin("a chest")
	k.at = k.piece()
	const runs = 100
	steps, killed := 0, 0
	for run := range runs {
		end := func() { _ = chromedp.Do(k.ctx, chromedp.Reload()) }
		if run%5 == 1 {
			process := chromedp.FromContext(k.ctx).Browser.Process()
			end = func() { _ = process.Kill() }
			killed++
		}
		for n := 0; ; n++ {
			if n == 1 {
				time.AfterFunc(time.Duration(rand.IntN(1500))*time.Millisecond, end)
			}
			if !k.step() {
				break
			}
			steps++
		}
		if run%5 == 1 {
			k.browser = open()
		} else {
			k.startSite("")
		}
		if run%20 == 19 {
			k.holds()
			k.startSite("")
		}
	}
	figure.Report(t, "killed in a browser", "none of %d notes, changes and photos in %d kills, %d of them of the whole browser",
		steps, runs, killed)
	require.GreaterOrEqual(t, steps, runs)
}

// newerSite is the site that HUEWRIGHT_SITE names, as if something in it had changed.
func newerSite(t *testing.T) (folder, version string) {
	packed, err := filepath.Glob(filepath.Join(os.Getenv("HUEWRIGHT_SITE"), "*", "huewright.packed"))
	require.NoError(t, err)
	require.Len(t, packed, 1)
	file, err := os.Open(packed[0])
	require.NoError(t, err)
	defer func() { _ = file.Close() }()
	unpacked, err := gzip.NewReader(file)
	require.NoError(t, err)
	program, err := io.ReadAll(unpacked)
	require.NoError(t, err)
	support, err := os.ReadFile(filepath.Join(filepath.Dir(packed[0]), "wasm_exec.js"))
	require.NoError(t, err)
	folder = filepath.Join(t.TempDir(), "newer")
	s, err := phone.Write(folder, program, append(support, "// newer\n"...), brotli.DefaultCompression)
	require.NoError(t, err)
	return folder, s.Version
}

// brotliByHost has a browser unpack Brotli by sending it to the host, as others do by themselves.
const brotliByHost = `(() => {
	const own = DecompressionStream;
	globalThis.DecompressionStream = class {
		constructor(format) {
			if (format !== "brotli") return new own(format);
			const packed = new TransformStream(), unpacked = new TransformStream();
			new Response(packed.readable).blob()
				.then((body) => fetch("/unpack?fetch=000000000000", {method: "POST", body}))
				.then((answer) => answer.body.pipeTo(unpacked.writable));
			return {writable: packed.writable, readable: unpacked.readable};
		}
	};
	return true;
})()`

// TestANewerVersion has the host serve a newer site: it is taken when that is asked for, and not before.
func TestANewerVersion(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	b := h.visit(t, "", 8*time.Minute)
	const version = `document.querySelector("script").dataset.version`
	older := shell[string](b, version)
	b.begin("a chest")
	folder, newer := newerSite(t)
	h.serve("", folder)
	b.startSite("")
	b.untilShell(`document.querySelector("#newer").checkVisibility()`)
	require.Equal(t, older, shell[string](b, version), "it is not taken by itself")
	b.startSite("")
	require.Equal(t, older, shell[string](b, version), "nor by another start")
	b.untilShell(`document.querySelector("#newer").checkVisibility()`)
	h.paths.Clear()
	shell[bool](b, brotliByHost)
	shell[bool](b, `(document.querySelector("#take").click(), true)`)
	b.untilShell(fmt.Sprintf(`%s === %q && !!document.querySelector("iframe")`, version, newer))
	b.untilShell(`!document.querySelector("#newer").checkVisibility()`)
	for file, comes := range map[string]bool{"huewright.brotli": true, "huewright.packed": false} {
		_, came := h.paths.Load("/" + newer + "/" + file)
		require.Equal(t, comes, came, file)
	}
	b.startSite("")
	require.Contains(t, js[string](b, `document.querySelector("main").innerText`), "a chest")
	kept, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`caches.keys().then((all) => all.join())`, awaited))
	require.NoError(t, err)
	require.Equal(t, "huewright-"+newer, kept, "the older one is let go of")
}
