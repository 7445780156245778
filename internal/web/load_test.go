package web

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// BenchmarkTwentyPhones has twenty phones ask at once, each for its own piece with its own photo of 12
// megapixels, with a pause of four seconds on average between two requests as a hand needs it. A
// third of the requests change something and plan anew; the others show the page, a preview or a
// strip. It takes about a minute however often it is run.
func BenchmarkTwentyPhones(b *testing.B) {
	const phones, lasting, pause = 20, 40 * time.Second, 4.0
	ctx := context.Background()
	log, err := logbook.Open(ctx, b.TempDir()+"/log.db", logbook.Options{Make: true})
	require.NoError(b, err)
	defer func() { _ = log.Close() }()
	s, err := New(log, Options{})
	require.NoError(b, err)
	server := httptest.NewServer(s.handler())
	defer server.Close()
	s.AllowHost(strings.TrimPrefix(server.URL, "http://"))

	shot := bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(
		bench.View{Width: 4032, Height: 3024, SamplesPerSide: 1}, bench.DrawCamera(5, bench.Phone),
	)
	outline := func(name string) string { return shot.Area(name).Outline.String() }
	pieces := make([]string, phones)
	for i := range pieces {
		id := fmt.Sprintf("abcdefg%c", 'a'+i)
		pieces[i] = id
		require.NoError(b, log.Write(ctx, func(w *logbook.Writer) error { return w.BeginOnce(id) }))
		require.NoError(b, s.drafts.begin(&pieceDraft{ID: id, Piece: piece.Piece{Name: id}}))
		own := append(slices.Clone(shot.JPEG), byte(i)) // what stands behind the picture's end makes it another photo
		require.NoError(b, s.admitPhoto(ctx, id, "front.jpg", bytesOf(own)))
		for _, f := range []url.Values{
			{"do": {"area"}, "name": {"frame"}, "outline": {outline(bench.Frame)}, "photo": {"front"}, "surface": {"sealed"}},
			{"do": {"area"}, "name": {"panel"}, "outline": {outline(bench.Panel)}, "photo": {"front"}, "surface": {"sealed"}},
			{"do": {"coating"}, "name": {"wash"}, "kind": {"wash"}, "chip-colour": {"#5a4030"}},
			{"do": {"target"}, "target-outline": {outline(bench.Target)}, "target-photo": {"front"}},
		} {
			require.NoError(b, stepNamed(f.Get("do")).do(ctx, s, stepRequest{id: id, form: form{f}}))
		}
	}
	debug.FreeOSMemory()

	var mutex sync.Mutex
	took := map[string][]float64{}
	failed := 0
	for b.Loop() {
		var wait sync.WaitGroup
		for i, id := range pieces {
			wait.Go(func() {
				rng := rand.New(rand.NewPCG(uint64(i), 20))
				jar, _ := cookiejar.New(nil)
				phone := &http.Client{Jar: jar, Timeout: time.Minute}
				ask := func(kind string, post url.Values, path string) {
					start := time.Now()
					var r *http.Response
					var err error
					if post != nil {
						r, err = phone.PostForm(server.URL+path, post)
					} else {
						r, err = phone.Get(server.URL + path)
					}
					status := 0
					if err == nil {
						_, _ = io.Copy(io.Discard, r.Body)
						_ = r.Body.Close()
						status = r.StatusCode
					}
					mutex.Lock()
					defer mutex.Unlock()
					if kind != "" {
						took[kind] = append(took[kind], time.Since(start).Seconds())
					}
					if status != http.StatusOK {
						failed++
						b.Errorf("%s %s: %d %v", kind, path, status, err)
					}
				}
				ask("", url.Values{"code": {s.NewCode()}}, "/pair")
				time.Sleep(time.Duration(pause * float64(time.Second) * rng.Float64()))
				ask("plan", url.Values{"do": {"plan"}}, "/piece/"+id+"/do")
				for end := time.Now().Add(lasting); time.Now().Before(end); {
					time.Sleep(time.Duration(pause * rng.ExpFloat64() * float64(time.Second)))
					switch rng.IntN(6) {
					case 0, 1:
						ask("change", url.Values{"do": {"target"}, "target-colour": {fmt.Sprintf("%.2f, 14, 20", 38+8*rng.Float64())}}, "/piece/"+id+"/do")
						ask("plan", url.Values{"do": {"plan"}}, "/piece/"+id+"/do")
					case 2, 3:
						ask("page", nil, "/piece/"+id)
					case 4:
						ask("preview", nil, "/piece/"+id+"/preview/front")
					case 5:
						ask("strip", nil, "/piece/"+id+"/strip/frame")
					}
				}
			})
		}
		wait.Wait()
	}
	var all []float64
	for kind, t := range took {
		slices.Sort(t)
		b.Logf(
			"%-8s %4d requests, half within %.2f s, 95 of 100 within %.2f s, all within %.2f s", kind, len(t), t[len(t)/2], t[len(t)*95/100],
			t[len(t)-1],
		)
		all = append(all, t...)
	}
	slices.Sort(all)
	b.ReportMetric(all[len(all)*95/100], "s-p95")
	b.ReportMetric(float64(failed), "failed")
	b.ReportMetric(0, "ns/op")
	status, _ := os.ReadFile("/proc/self/status")
	if _, after, ok := strings.Cut(string(status), "VmHWM:"); ok {
		var kB float64
		if _, err := fmt.Sscan(after, &kB); err == nil {
			b.ReportMetric(kB/1024, "peak-MB")
		}
	}
}
