package web

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/dom"
	cdpruntime "github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
)

// asked is what the program of a site answers to a request, with the status before it.
func (b *browser) asked(path, request string) string {
	b.t.Helper()
	fetch := fmt.Sprintf(`fetch(%q, {%s}).then(async (r) => r.status + " " + await r.text())`, path, request)
	said, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fetch, awaited, b.onPage))
	require.NoError(b.t, err)
	return said
}

// posting is a form as a request.
func posting(form string) string {
	return fmt.Sprintf(`method: "POST", headers: {"Content-Type": "application/x-www-form-urlencoded"}, body: %q`, form)
}

// sending is a file as a request.
func sending(field, name string, data []byte) string {
	return fmt.Sprintf(`method: "POST", body: (() => { const form = new FormData();
		form.append(%q, new Blob([Uint8Array.from(atob(%q), (c) => c.charCodeAt(0))]), %q); return form })()`,
		field, base64.StdEncoding.EncodeToString(data), name)
}

// rowsOf are all rows of a log as text.
func rowsOf(t testing.TB, log *logbook.Log) string {
	var out bytes.Buffer
	require.NoError(t, log.Export(context.Background(), &out))
	return out.String()
}

// TestALogGoesToASiteAndBack takes a log with a photo in on a site, goes on there, and takes what the site saves in again here: by the
// downloads and by the share sheet, with the same rows each time.
func TestALogGoesToASiteAndBack(t *testing.T) {
	desk := paired(t)
	desk.deskWithPhoto()
	_, saved := desk.file("/log/save")
	path := filepath.Join(t.TempDir(), "log.zip")
	require.NoError(t, os.WriteFile(path, saved, 0o600))

	h := hostSite(t, "/wood")
	b := h.visit(t, "/wood", 8*time.Minute)
	b.open("/wood/log")
	require.Contains(t, js[string](b, `document.querySelector("#last-saved").textContent`), "never")
	js[bool](b, `document.querySelectorAll("#save details").forEach((d) => d.open = true), true`)
	chosen := js[*cdpruntime.RemoteObject](b, `document.querySelector("#save input[type=file]")`)
	_, err := chromedp.Call(b.ctx, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: []string{path}, ObjectID: chosen.ObjectID})
	require.NoError(t, err)
	b.tap(button("#save", "Take it in"))
	b.until(`document.querySelector("main").textContent.includes("1 photo came with it.")`)
	require.Equal(t, "200 "+desk.exported(), b.asked("/wood/log/export", posting("")))

	b.open("/wood/")
	piece := js[string](b, `document.querySelector("a[href*='/piece/']").pathname`)
	require.Equal(t, "200", b.asked(piece+"/do", posting("do=note&note=seen+by+the+window"))[:3])
	require.Equal(t, "200", b.asked(piece+"/photo", sending("photo", "later.jpg", smallPhoto()))[:3])
	rows := strings.TrimPrefix(b.asked("/wood/log/export", posting("")), "200 ")
	require.Contains(t, rows, "seen by the window")

	downloads := t.TempDir()
	_, err = chromedp.CallBrowser(b.ctx, cdpbrowser.SetDownloadBehavior, cdpbrowser.SetDownloadBehaviorParams{
		Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllow, DownloadPath: downloads,
	})
	require.NoError(t, err)
	b.open("/wood/log")
	b.tap(button("#save", "Save the whole log"))
	b.until(`document.querySelector("#last-saved").textContent === "Last saved elsewhere: today."`)
	var came []string
	require.Eventually(t, func() bool {
		came, err = filepath.Glob(filepath.Join(downloads, "huewright-log-*.zip"))
		return err == nil && len(came) == 1
	}, time.Minute, 50*time.Millisecond)
	require.Equal(t, rows, rowsOf(t, takenIn(t, must(os.ReadFile(came[0])))))

	// The share sheet takes the same file, and what was not given away is not saved.
	js[bool](b, `(navigator.canShare = () => true, navigator.share = async (what) => {
		if (!window.sheet) { window.sheet = true; throw new DOMException("closed", "AbortError"); }
		const read = new FileReader();
		read.onload = () => { window.shared = read.result };
		read.readAsDataURL(what.files[0]);
	}, true)`)
	b.tap(button("#save", "Save the whole log"))
	b.tap(button("#says", "Put it elsewhere"))
	b.until(`window.sheet && !window.shared`)
	b.tap(button("#says", "Put it elsewhere"))
	b.until(`!!window.shared`)
	_, text, _ := strings.Cut(js[string](b, `window.shared`), ",")
	shared, err := base64.StdEncoding.DecodeString(text)
	require.NoError(t, err)
	require.Equal(t, rows, rowsOf(t, takenIn(t, shared)))
	b.quiet()
	whole(t, b.takeOut("/wood"))
}

// takenIn is a log that takes a bundle in, looked over.
func takenIn(t testing.TB, bundle []byte) *logbook.Log {
	t.Helper()
	log := emptyLog(t)
	t.Cleanup(func() { require.NoError(t, log.Close()) })
	done, err := log.TakeBundle(t.Context(), bytes.NewReader(bundle), int64(len(bundle)), logbook.ImportOptions{})
	require.NoError(t, err)
	require.Empty(t, done.Photos, "photos that did not come with it")
	require.Equal(t, 2, done.Brought)
	whole(t, log)
	return log
}

// aChest is a piece with a photo, begun on a site, with the path of its pages.
func aChest(t *testing.T) (h *staticHost, b *browser, piece string) {
	inTheLongRun(t)
	h = hostSite(t, "")
	b = h.visit(t, "", 8*time.Minute)
	b.begin("a chest")
	piece = b.piece()
	require.Equal(t, "200", b.asked(piece+"/photo", sending("photo", "before.jpg", smallPhoto()))[:3])
	return h, b, piece
}

// TestAFullPhone has no more room: what does not fit is refused with what to do, nothing is half there, and it goes on with more room.
func TestAFullPhone(t *testing.T) {
	h, b, piece := aChest(t)
	room := func(bytes *float64) {
		_, err := chromedp.Call(b.ctx, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{
			Origin: "http://" + h.host, QuotaSize: bytes,
		})
		require.NoError(t, err)
	}
	used, err := chromedp.Run(b.ctx, chromedp.Evaluate[float64](`navigator.storage.estimate().then((e) => e.usage)`, awaited))
	require.NoError(t, err)
	room(&used)
	refused := func(said string) {
		require.NotEqual(t, "200", said[:3])
		require.Contains(t, said, "The disk is full.")
		require.Contains(t, said, "Make room")
	}
	refused(b.asked(piece+"/photo", sending("photo", "large.jpg", drawnCabinet().JPEG)))
	var notes []string
	for n := 0; ; n++ {
		require.Less(t, n, 200, "it is never full")
		note := fmt.Sprintf("note %d. %s", n, strings.Repeat("ash ", 500))
		said := b.asked(piece+"/do", posting("do=note&note="+url.QueryEscape(note)))
		if said[:3] != "200" {
			refused(said)
			break
		}
		notes = append(notes, strings.TrimSpace(note))
	}
	refused(b.asked(piece+"/photo", sending("photo", "large.jpg", drawnCabinet().JPEG)))

	// A start without room loses nothing either.
	b.startSite("")
	rows := strings.TrimPrefix(b.asked("/log/export", posting("")), "200 ")
	for _, note := range notes {
		require.Contains(t, rows, note)
	}
	room(nil)
	require.Equal(t, "200", b.asked(piece+"/photo", sending("photo", "large.jpg", drawnCabinet().JPEG))[:3])
	require.Equal(t, "200", b.asked(piece+"/do", posting("do=note&note=with+room"))[:3])
	log := b.takeOut("")
	whole(t, log)
	rows = rowsOf(t, log)
	for _, note := range append(notes, "with room") {
		require.Contains(t, rows, note)
	}
	require.NoError(t, filepath.WalkDir(filepath.Dir(log.Path()), func(path string, d fs.DirEntry, err error) error {
		require.False(t, strings.HasPrefix(d.Name(), halfWritten), path)
		return err
	}))
}

// TestAHurtSite spoils all that tells names of files: the piece, its photo and its notes are found again, and the person is told until that
// was looked after.
func TestAHurtSite(t *testing.T) {
	_, b, piece := aChest(t)
	require.Equal(t, "200", b.asked(piece+"/do", posting("do=note&note=seen+by+the+window"))[:3])
	require.False(t, shell[bool](b, `document.querySelector("#hurt").checkVisibility()`))
	rows := b.asked("/log/export", posting(""))
	b.without("", "spoil")
	for range 2 {
		b.startSite("")
		b.untilShell(`document.querySelector("#hurt").checkVisibility()`)
		require.Contains(t, js[string](b, `document.querySelector("main").innerText`), "a chest")
	}
	b.shot("hurt")
	entries := func(rows string) (all []string) {
		for line := range strings.Lines(rows) {
			if !strings.Contains(line, `"draft"`) { // whose steps are numbered anew
				all = append(all, line)
			}
		}
		return all
	}
	require.Equal(t, entries(rows), entries(b.asked("/log/export", posting(""))))
	shell[bool](b, `(document.querySelector("#looked").click(), true)`)
	b.startSite("")
	require.False(t, shell[bool](b, `document.querySelector("#hurt").checkVisibility()`))
	b.open("/log")
	require.Contains(t, js[string](b, `document.querySelector("#kept").textContent`), "stayed as found")
	js[bool](b, `(document.querySelectorAll("#kept, #kept details").forEach((d) => d.open = true), scrollTo(0, 1e5), true)`)
	b.shot("kept")
	b.open("/")
	b.open(js[string](b, `document.querySelector("a[href*='/piece/']").pathname`) + "/photos")
	b.until(`[...document.querySelectorAll("main img")].some((i) => i.complete && i.naturalWidth > 0)`)
	whole(t, b.takeOut(""))
}
