package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// timedJob does a job by the requests of the pages, and says in seconds how long each took: photos opened with their chart found, the
// frame measured, plans, previews. At last it asks for another page over and over meanwhile, and says how long that waited at most.
const timedJob = `(async (photo, frame, panel, times) => {
	const bytes = Uint8Array.from(atob(photo), (c) => c.charCodeAt(0)), took = {waited: 0};
	const ask = async (path, body) => {
		const answer = await fetch(path, body && {method: "POST", body});
		if (!answer.ok) throw new Error(path + ": " + answer.status + " " + (await answer.text()).slice(0, 300));
		await answer.arrayBuffer();
		return answer.url;
	};
	const timed = async (what, work) => {
		const began = performance.now(), answer = await work();
		(took[what] ??= []).push((performance.now() - began) / 1000);
		return answer;
	};
	const form = (fields) => new URLSearchParams(fields);
	let piece;
	const measure = async (n) => {
		const sent = new FormData();
		sent.append("photo", new File([bytes, new Uint8Array([n])], "front.jpg", {type: "image/jpeg"}));
		piece = new URL(await ask("/begin", sent)).pathname.split("/").slice(0, 3).join("/");
		await ask(piece + "/do", form({do: "area", name: "frame", outline: frame, photo: "front", surface: "sealed"}));
	};
	const plan = async (n) => {
		await ask(piece + "/do", form({do: "target", "target-colour": 40 + n + ", 14, 20"}));
		await timed("plan", () => ask(piece + "/do", form({do: "plan"})));
		await timed("preview", () => ask(piece + "/preview/front"));
	};
	for (let n = 0; n < times; n++) await timed("measure", () => measure(n));
	await ask(piece + "/do", form({do: "area", name: "panel", outline: panel, photo: "front", surface: "sealed"}));
	await ask(piece + "/do", form({do: "coating", name: "wash", kind: "wash", "chip-colour": "#5a4030"}));
	for (let n = 0; n < times; n++) await plan(n);
	let ended = false;
	const others = (async () => {
		while (!ended) {
			const began = performance.now();
			await ask("/help");
			took.waited = Math.max(took.waited, (performance.now() - began) / 1000);
			await new Promise((ok) => setTimeout(ok, 200));
		}
	})();
	await plan(times);
	await measure(times);
	ended = true;
	await others;
	return JSON.stringify(took);
})`

type jobTimes struct {
	Measure, Plan, Preview []float64
	Waited                 float64
}

func (b *browser) timedJob(shot *bench.Shot, times int) (took jobTimes) {
	args := []string{string(must(json.Marshal(shot.JPEG)))}
	for _, area := range []string{bench.Frame, bench.Panel} {
		args = append(args, strconv.Quote(shot.Area(area).Outline.String()))
	}
	text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](
		fmt.Sprintf("%s(%s, %d)", timedJob, strings.Join(args, ", "), times), awaited, b.onPage))
	require.NoError(b.t, err)
	require.NoError(b.t, json.Unmarshal([]byte(text), &took))
	return took
}

// renderers are the processes of a browser that run pages and workers.
func (b *browser) renderers() (ids []int) {
	all, err := chromedp.CallBrowser(b.ctx, systeminfo.GetProcessInfo, cdp.Empty{})
	if err != nil {
		return nil
	}
	for _, p := range all.ProcessInfo {
		if p.Type == "renderer" {
			ids = append(ids, int(p.ID))
		}
	}
	return ids
}

// A memory is what a process has, in MB.
type memory struct {
	own     float64 // its largest piece that is of no file: once a photo has been opened, all that the program has
	private float64 // all that is of no file: the compiled program and the page too, but not the browser's own code
}

// watchMemory notes the most that a process of pages and workers has until it is stopped.
func (b *browser) watchMemory() (stop func() memory) {
	end, most := make(chan bool), make(chan memory)
	ids := b.renderers()
	go func() {
		var m memory
		for {
			for _, id := range ids {
				m.see(id)
			}
			select {
			case <-end:
				most <- m
				return
			case <-time.After(200 * time.Millisecond):
			}
		}
	}()
	return func() memory { close(end); return <-most }
}

// see looks at what the system says of a process.
func (m *memory) see(id int) {
	inMB := func(line string) (v float64) {
		_, _ = fmt.Sscan(line, &v) // a process that has ended says nothing
		return v / 1024
	}
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", id))
	if _, after, ok := strings.Cut(string(status), "RssAnon:"); ok {
		m.private = max(m.private, inMB(after))
	}
	pieces, _ := os.ReadFile(fmt.Sprintf("/proc/%d/smaps", id))
	for _, piece := range strings.Split(string(pieces), "\nVmFlags:") {
		if head, after, ok := strings.Cut(piece, "\nAnonymous:"); ok && !strings.Contains(head, "/") {
			m.own = max(m.own, inMB(after))
		}
	}
}

// TestSpeedOnASite times one job on the program as it is, and then where a browser runs it, in one run and by the same requests; then
// the memory that photos of 12 and 48 megapixels take there.
func TestSpeedOnASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	cabinet, camera := bench.Cabinet(bench.CabinetOptions{Seed: 5}), bench.DrawCamera(5, bench.Phone)
	shot := cabinet.Shoot(bench.View{Width: 4032, Height: 3024, SamplesPerSide: 1}, camera)
	const times = 5
	native := newBrowser(t, 390, 844).timedJob(shot, times)
	b := h.visit(t, "", 20*time.Minute)
	memory := b.watchMemory()
	here := b.timedJob(shot, times)
	took := memory()
	ratio := func(what string, of func(*jobTimes) float64) {
		figure.Report(t, "speed in a browser/"+what, "%.2f s : %.2f s = %.1f", of(&here), of(&native), of(&here)/of(&native))
	}
	ratio("measure, first", func(j *jobTimes) float64 { return j.Measure[0] })
	ratio("measure", func(j *jobTimes) float64 { return slices.Min(j.Measure) })
	ratio("plan", func(j *jobTimes) float64 { return slices.Min(j.Plan) })
	ratio("preview", func(j *jobTimes) float64 { return slices.Min(j.Preview) })
	figure.Report(t, "speed in a browser/another page", "%.1f s", here.Waited)
	figure.Report(t, "memory in a browser/12 MP", "%.0f MB; %.0f", took.own, took.private)

	large := cabinet.Shoot(bench.View{Width: 8064, Height: 6048, SamplesPerSide: 1}, camera)
	b = h.visit(t, "", 20*time.Minute)
	memory = b.watchMemory()
	b.timedJob(large, 1)
	took = memory()
	figure.Report(t, "memory in a browser/48 MP", "%.0f MB; %.0f", took.own, took.private)
}

// fiftyPieces is a saved log of fifty pieces, each with a plan.
func fiftyPieces(t *testing.T) []byte {
	ctx := t.Context()
	log, err := logbook.Open(ctx, t.TempDir()+"/log.db", logbook.Options{Make: true})
	require.NoError(t, err)
	defer func() { _ = log.Close() }()
	s, err := New(log, Options{})
	require.NoError(t, err)
	frame := drawnCabinet().Area(bench.Frame).Outline.String()
	for n := range 50 {
		id, name := fmt.Sprintf("abcdef%c%c", 'a'+n/26, 'a'+n%26), fmt.Sprintf("piece %d", n)
		require.NoError(t, log.Write(ctx, func(w *logbook.Writer) error { return w.BeginOnce(name) }))
		require.NoError(t, s.drafts.begin(&pieceDraft{ID: id, Piece: piece.Piece{Name: name}}))
		require.NoError(t, s.admitPhoto(ctx, id, "front.jpg", bytesOf(drawnCabinet().JPEG)))
		for _, f := range [][]string{
			{"area", "name", "frame", "outline", frame, "photo", "front", "surface", "sealed"},
			{"coating", "name", "wash", "kind", "wash", "chip-colour", "#5a4030"},
			{"target", "target-colour", fmt.Sprintf("%d, 15, 21", 35+n/4)}, {"plan"},
		} {
			fields := form{map[string][]string{"do": {f[0]}}}
			for i := 1; i < len(f); i += 2 {
				fields.Values[f[i]] = []string{f[i+1]}
			}
			require.NoError(t, stepNamed(f[0]).do(ctx, s, stepRequest{id: id, form: fields}), "%v", f)
		}
	}
	var saved bytes.Buffer
	_, err = log.WriteBundle(ctx, &saved, "log")
	require.NoError(t, err)
	return saved.Bytes()
}

// slowed lets the browser's pages and workers run a quarter of the time until it is told to stop. Whether the browser's own way of slowing
// processors, which is asked of a page, slows its workers was not tried.
func (b *browser) slowed() (stop func()) {
	end, ended := make(chan bool), make(chan bool)
	go func() {
		defer close(ended)
		for {
			ids := b.renderers()
			for range 20 {
				for _, s := range []struct {
					signal syscall.Signal
					lasts  time.Duration
				}{{syscall.SIGSTOP, 15 * time.Millisecond}, {syscall.SIGCONT, 5 * time.Millisecond}} {
					for _, id := range ids {
						_ = syscall.Kill(id, s.signal) // it may have ended
					}
					time.Sleep(s.lasts)
				}
			}
			select {
			case <-end:
				return
			default:
			}
		}
	}()
	return func() { close(end); <-ended }
}

// TestColdStartOfASite times how long the pages take to come where the program starts anew, with fifty pieces in the log.
func TestColdStartOfASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	saved := fiftyPieces(t)
	path, profile := chromium(t), t.TempDir()
	start := func() *browser {
		b := openProfile(t, path, profile, h.host, 20*time.Minute, 390, 844)
		b.framed = true
		return b
	}
	b := start()
	b.startSite("")
	said, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`(async () => {
		const sent = new FormData();
		sent.append("log", new File([Uint8Array.from(atob(%s), (c) => c.charCodeAt(0))], "log.zip"));
		const answer = await fetch("/log/take-in", {method: "POST", body: sent});
		return answer.ok ? "ok" : await answer.text();
	})()`, must(json.Marshal(saved))), awaited, b.onPage))
	require.NoError(t, err)
	require.Equal(t, "ok", said)
	b.open("/log")
	require.Contains(t, js[string](b, `document.querySelector("main").innerText`), "piece 49")

	cold := func(slow bool) (took time.Duration) {
		require.NoError(t, chromedp.Cancel(b.ctx))
		b = start()
		if slow {
			defer b.slowed()()
		}
		return b.startSite("")
	}
	cold(false) // code that has been compiled once is kept
	figure.Report(t, "cold start in a browser/as it is", "%.1f s", cold(false).Seconds())
	figure.Report(t, "cold start in a browser/four times slowed", "%.1f s", cold(true).Seconds())
}
