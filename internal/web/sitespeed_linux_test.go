package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
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

// jobSteps leaves the steps of a job in the page, by the requests of the pages: a photo opened with its chart found and its frame
// measured, a plan, a preview. Each says in seconds how long it took. Others asks for another page over and over while a plan is made and
// a photo measured, and says how long that waited at most.
const jobSteps = `((photo, frame, panel) => {
	const bytes = Uint8Array.from(atob(photo), (c) => c.charCodeAt(0));
	const ask = async (path, body) => {
		const answer = await fetch(path, body && {method: "POST", body});
		if (!answer.ok) throw new Error(path + ": " + answer.status + " " + (await answer.text()).slice(0, 300));
		await answer.arrayBuffer();
		return answer.url;
	};
	const timed = async (work) => {
		const began = performance.now();
		await work();
		return (performance.now() - began) / 1000;
	};
	const form = (fields) => new URLSearchParams(fields);
	let piece;
	const job = {
		measure: (n) => timed(async () => {
			const sent = new FormData();
			sent.append("photo", new File([bytes, new Uint8Array([n])], "front.jpg", {type: "image/jpeg"}));
			piece = new URL(await ask("/begin", sent)).pathname.split("/").slice(0, 3).join("/");
			await ask(piece + "/do", form({do: "area", name: "frame", outline: frame, photo: "front", surface: "sealed"}));
		}),
		ready: async () => {
			await ask(piece + "/do", form({do: "area", name: "panel", outline: panel, photo: "front", surface: "sealed"}));
			await ask(piece + "/do", form({do: "coating", name: "wash", kind: "wash", "chip-colour": "#5a4030"}));
			return 0;
		},
		plan: async (n) => {
			await ask(piece + "/do", form({do: "target", "target-colour": 40 + n + ", 14, 20"}));
			return timed(() => ask(piece + "/do", form({do: "plan"})));
		},
		preview: () => timed(() => ask(piece + "/preview/front")),
		others: async (n) => {
			let ended = false, waited = 0;
			const others = (async () => {
				while (!ended) {
					waited = Math.max(waited, await timed(() => ask("/help")));
					await new Promise((ok) => setTimeout(ok, 200));
				}
			})();
			await job.plan(n);
			await job.preview();
			await job.measure(n);
			ended = true;
			await others;
			return waited;
		},
	};
	window.job = job;
	return true;
})`

// A timing is how long a step took, in seconds: by the clock, and by the processors that the program had.
type timing struct{ clock, busy float64 }

// A worker does steps of a job and times them.
type worker struct {
	*browser
	busy func() float64 // seconds of processor so far
	took map[string][]timing
}

func (b *browser) works(shot *bench.Shot, busy func() float64) *worker {
	args := []string{string(must(json.Marshal(shot.JPEG)))}
	for _, area := range []string{bench.Frame, bench.Panel} {
		args = append(args, strconv.Quote(shot.Area(area).Outline.String()))
	}
	js[bool](b, fmt.Sprintf("%s(%s)", jobSteps, strings.Join(args, ", ")))
	return &worker{b, busy, map[string][]timing{}}
}

// do does a step, of number n, and returns the seconds that it says.
func (w *worker) do(step string, n int) float64 {
	w.t.Helper()
	before := w.busy()
	said, err := chromedp.Run(w.ctx, chromedp.Evaluate[float64](fmt.Sprintf("job.%s(%d)", step, n), awaited, w.onPage))
	require.NoError(w.t, err)
	w.took[step] = append(w.took[step], timing{said, w.busy() - before})
	return said
}

// least is the shortest that a step took.
func (w *worker) least(step string) timing {
	least := w.took[step][0]
	for _, t := range w.took[step] {
		least = timing{min(least.clock, t.clock), min(least.busy, t.busy)}
	}
	return least
}

// ownBusy is the processor time of this process, seconds.
func ownBusy() float64 {
	var u syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u) // cannot fail here
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds()
}

// busy is the processor time of the processes that run pages and workers, seconds.
func (b *browser) busy() (seconds float64) {
	for _, id := range b.renderers() {
		stat, _ := os.ReadFile(fmt.Sprintf("/proc/%d/stat", id))
		_, after, _ := strings.Cut(string(stat), ") ")
		if fields := strings.Fields(after); len(fields) > 12 { // else it has ended
			for _, ticks := range fields[11:13] {
				n, _ := strconv.ParseFloat(ticks, 64)
				seconds += n / 100
			}
		}
	}
	return seconds
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

// TestSpeedOnASite times the steps of a job on the program as it is and where a browser runs it, by the same requests and in turn, so that
// what else the machine does meets both; then the memory that photos of 12 and 48 megapixels take there.
func TestSpeedOnASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	cabinet, camera := bench.Cabinet(bench.CabinetOptions{Seed: 5}), bench.DrawCamera(5, bench.Phone)
	shot := cabinet.Shoot(bench.View{Width: 4032, Height: 3024, SamplesPerSide: 1}, camera)
	native := newBrowser(t, 390, 844).works(shot, ownBusy)
	b := h.visit(t, "", 20*time.Minute)
	here := b.works(shot, b.busy)
	memory := b.watchMemory()
	both := func(step string, n int) {
		native.do(step, n)
		here.do(step, n)
	}
	const times = 5
	for n := range times {
		both("measure", n)
	}
	both("ready", 0)
	for n := range times {
		both("plan", n)
		both("preview", n)
	}
	waited := here.do("others", times)
	took := memory()
	ratio := func(what string, here, native timing) {
		figure.Report(t, "speed in a browser/"+what, "%.2f s : %.2f s = %.1f", here.clock, native.clock, here.clock/native.clock)
		figure.Report(t, "speed in a browser/"+what+", processor", "%.1f", here.busy/native.busy)
	}
	ratio("measure, first", here.took["measure"][0], native.took["measure"][0])
	for _, step := range []string{"measure", "plan", "preview"} {
		ratio(step, here.least(step), native.least(step))
	}
	figure.Report(t, "speed in a browser/another page", "%.1f s", waited)
	figure.Report(t, "memory in a browser/12 MP", "%.0f MB; %.0f", took.own, took.private)

	large := cabinet.Shoot(bench.View{Width: 8064, Height: 6048, SamplesPerSide: 1}, camera)
	b = h.visit(t, "", 20*time.Minute)
	memory = b.watchMemory()
	here = b.works(large, b.busy)
	for _, step := range []string{"measure", "ready", "plan", "preview"} {
		here.do(step, 0)
	}
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
