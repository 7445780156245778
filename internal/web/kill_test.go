package web

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
)

// What this binary serves when it is started by a test of itself: the log of that path.
const (
	servedLog = "WEB_TEST_SERVES"
	servedAt  = "WEB_TEST_AT" // host and port; any where it is empty
)

func TestMain(m *testing.M) {
	if path := os.Getenv(servedLog); path != "" {
		os.Exit(serveUntilKilled(path))
	}
	os.Exit(m.Run())
}

// serveUntilKilled tells its address and a code, and serves.
func serveUntilKilled(path string) int {
	log, err := openLog(path)
	if err == nil {
		var l net.Listener
		if l, err = net.Listen("tcp", cmp.Or(os.Getenv(servedAt), "127.0.0.1:0")); err == nil {
			var s *Server
			if s, err = New(log, Options{Hosts: []string{l.Addr().String()}}); err == nil {
				fmt.Println(l.Addr(), s.NewCode())
				err = s.Serve(context.Background(), l)
			}
		}
	}
	fmt.Println(err)
	return 1
}

// childServer is a server in a process of its own, at an address or at any, and its address and a code.
func childServer(t *testing.T, path, at string) (cmd *exec.Cmd, base, code string) {
	self, err := os.Executable()
	require.NoError(t, err)
	cmd = exec.Command(self)
	cmd.Env = append(os.Environ(), servedLog+"="+path, servedAt+"="+at)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err, line)
	_, err = fmt.Sscan(line, &base, &code)
	require.NoError(t, err, line)
	return cmd, "http://" + base, code
}

// pageState is what a killed server must not lose of a piece.
type pageState struct{ year, photos int }

// killed is a piece whose server is killed again and again, with all that it was told to be kept.
type killed struct {
	*visitor
	asks  *http.Client // does not follow to the page: a step is answered by then
	rng   *rand.Rand
	path  string
	stack []pageState // states that were told to be kept, the present last; undoing goes back
	under []pageState // what the stack may be instead, where the last request was not answered; empty where it was
	notes []string
	plans bool
	n     int
}

func (k *killed) now() pageState { return k.stack[len(k.stack)-1] }

// try asks for something, and reports whether that was told to be done; false where the server was gone.
func (k *killed) try(path string, pairs ...string) bool {
	form := strings.Builder{}
	for i := 0; i < len(pairs); i += 2 {
		fmt.Fprintf(&form, "%s=%s&", pairs[i], strings.NewReplacer(" ", "+", "#", "%23").Replace(pairs[i+1]))
	}
	return k.told(k.asks.Post(k.base+path, "application/x-www-form-urlencoded", strings.NewReader(form.String())))
}

func (k *killed) told(r *http.Response, err error) bool {
	if err != nil {
		return false
	}
	var body bytes.Buffer
	_, err = body.ReadFrom(r.Body)
	_ = r.Body.Close()
	if err != nil {
		return false
	}
	require.Contains(k.t, []int{http.StatusOK, http.StatusSeeOther}, r.StatusCode, body.String())
	return true
}

// step does something of chance.
func (k *killed) step() bool {
	k.n++
	next := append(append([]pageState{}, k.stack...), k.now())
	state := &next[len(next)-1]
	var ok bool
	const mostPhotos = 90 // of the 100 that a piece may have
	what := k.rng.IntN(12)
	if what == 3 && state.photos >= mostPhotos {
		what = 4
	}
	switch what {
	case 0:
		note := fmt.Sprintf("note %d.", k.n)
		if k.try(k.path+"/do", "do", "note", "note", note) {
			k.notes = append(k.notes, note)
			return true
		}
		return false
	case 1:
		if ok = k.try(k.path+"/do", "do", "plan"); ok {
			k.plans = true
		}
		return ok
	case 2:
		if len(k.stack) < 2 {
			return true
		}
		next = k.stack[:len(k.stack)-1]
		k.under = next
		ok = k.try(k.path+"/do", "do", "undo")
	case 3:
		state.photos++
		k.under = next
		var body bytes.Buffer
		body.WriteString("--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n")
		body.Write(append(bytes.Clone(drawnCabinet().JPEG), byte(k.n), byte(k.n>>8)))
		body.WriteString("\r\n--x--\r\n")
		ok = k.told(k.asks.Post(k.base+k.path+"/photo", "multipart/form-data; boundary=x", &body))
	default:
		state.year = 1000 + k.n
		k.under = next
		ok = k.try(k.path+"/do", "do", "piece", "year", fmt.Sprint(state.year))
	}
	if ok {
		k.stack, k.under = next, nil
		if len(k.stack) > keptSteps-2 {
			k.stack = k.stack[1:]
		}
	}
	return ok
}

// holds compares what there is with what was told.
func (k *killed) holds(log string) {
	l := must(openLog(log))
	defer func() { require.NoError(k.t, l.Close()) }()
	faults := must(l.Verify(k.t.Context()))
	require.Empty(k.t, faults)
	d := must(must(openDrafts(l.DraftFolder())).load(strings.TrimPrefix(k.path, "/piece/")))
	require.Zero(k.t, d.damaged)
	is := pageState{d.Piece.YearMade, len(d.Photos) - 1}
	if len(k.under) > 0 && is == k.under[len(k.under)-1] && is != k.now() {
		k.stack = k.under
	}
	k.under = nil
	require.Equal(k.t, k.now(), is, "what was told to be kept")
	for _, p := range d.Piece.Photos {
		_, err := l.Photo(p.File)
		require.NoError(k.t, err)
	}
	var all strings.Builder
	for _, e := range must(l.Timeline(k.t.Context(), "desk")) {
		all.WriteString(e.Note + "\n")
	}
	for _, note := range k.notes {
		require.Contains(k.t, all.String(), note)
	}
	if k.plans {
		require.NotEmpty(k.t, must(l.RunsOf(k.t.Context(), "desk", "plan", 1)))
	}
}

// TestKilledWhileServing kills the program that serves the pages at moments of chance: whatever it had answered is there, the
// browser is still paired, and nothing is damaged.
func TestKilledWhileServing(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("processes are not killed like this on Windows")
	}
	log := filepath.Join(t.TempDir(), "log.db")
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	stay := func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	k := &killed{
		asks:    &http.Client{Jar: jar, Timeout: time.Minute, CheckRedirect: stay},
		visitor: &visitor{t: t, http: &http.Client{Jar: jar, Timeout: time.Minute}},
		rng:     rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1)), // the moments need not be the same each time
		stack:   []pageState{{}},
	}
	var cmd *exec.Cmd
	var code string
	cmd, k.base, code = childServer(t, log, "")
	require.True(t, k.try("/pair", "code", code))
	k.path = k.begin("desk")
	status, body := k.upload(k.path, "front.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status, body)
	for _, step := range [][]string{
		{"do", "area", "name", "frame", "photo", "front", "surface", "sealed", "outline", drawnCabinet().Area(bench.Frame).Outline.String()},
		{"do", "coating", "name", "wash", "kind", "wash", "chip-colour", "#5a4030"}, {"do", "target", "target-colour", "42, 15, 21"},
	} {
		require.True(t, k.try(k.path+"/do", step...))
	}
	runs, steps := figure.Draws(10, 200), 0
	for range runs {
		gone, after := make(chan struct{}), time.Duration(k.rng.IntN(2500))*time.Millisecond
		go func() {
			time.Sleep(after)
			_ = cmd.Process.Kill()
			_ = cmd.Wait()
			close(gone)
		}()
		for k.step() {
			steps++
		}
		<-gone
		k.asks.CloseIdleConnections()
		k.holds(log)
		cmd, k.base, _ = childServer(t, log, "")
	}
	status, body = k.get(k.path + "/answer")
	require.Equal(t, http.StatusOK, status, "it is still paired")
	if k.plans {
		require.Contains(t, body, `<svg class="chart"`)
	}
	_ = cmd.Process.Kill()
	_ = cmd.Wait()
	figure.Report(t, "pages killed", "%d times, none of %d steps lost", runs, steps)
}
