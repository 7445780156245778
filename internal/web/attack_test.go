package web

import (
	"bytes"
	"context"
	"fmt"
	"hash/crc32"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// A visitor asks a server as a browser does.
type visitor struct {
	t    testing.TB
	s    *Server
	base string
	http *http.Client
	end  func() // ends the server and closes its log
}

// paired is a visitor whose browser is paired, of a server with an empty log.
func paired(t testing.TB) *visitor { return visit(t, emptyLog(t)) }

// visit is a visitor whose browser is paired, of a server over a log.
func visit(t testing.TB, log *logbook.Log) *visitor {
	s, host, end := serve(t, log)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	v := &visitor{t, s, "http://" + host, &http.Client{Jar: jar, Timeout: 5 * time.Minute}, end}
	status, _ := v.post("/pair", "code", s.NewCode())
	require.Equal(t, http.StatusOK, status)
	return v
}

func (v *visitor) answer(r *http.Response, err error) (int, string) {
	v.t.Helper()
	require.NoError(v.t, err)
	defer func() { _ = r.Body.Close() }()
	body, err := io.ReadAll(r.Body)
	require.NoError(v.t, err)
	return r.StatusCode, string(body)
}

func (v *visitor) get(path string) (int, string) {
	v.t.Helper()
	return v.answer(v.http.Get(v.base + path))
}

func (v *visitor) post(path string, pairs ...string) (int, string) {
	v.t.Helper()
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return v.answer(v.http.PostForm(v.base+path, form))
}

// begin begins a piece and returns the path of its page.
func (v *visitor) begin(name string) string {
	v.t.Helper()
	status, body := v.post("/piece", "name", name)
	require.Equal(v.t, http.StatusOK, status, body)
	return "/" + regexp.MustCompile(`piece/[a-z0-9]{8,}`).FindString(body)
}

func (v *visitor) upload(path, name string, data []byte) (int, string) {
	v.t.Helper()
	return v.send(path+"/photo", "photo", name, data)
}

// deskWithPhoto begins a piece with the photo of the drawn cabinet, and returns the path of its page.
func (v *visitor) deskWithPhoto() string {
	v.t.Helper()
	path := v.begin("desk")
	status, body := v.upload(path, "front.jpg", drawnCabinet().JPEG)
	require.Equal(v.t, http.StatusOK, status, body)
	return path
}

// send sends a file in a field of a form.
func (v *visitor) send(path, field, name string, data []byte) (int, string) {
	v.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	part, err := form.CreateFormFile(field, name)
	require.NoError(v.t, err)
	_, err = part.Write(data)
	require.NoError(v.t, err)
	require.NoError(v.t, form.Close())
	return v.answer(v.http.Post(v.base+path, form.FormDataContentType(), &body))
}

func TestOnlyOurNamesAreAnswered(t *testing.T) {
	v := paired(t)
	r, err := http.NewRequest(http.MethodGet, v.base+"/", nil)
	require.NoError(t, err)
	r.Host = "evil.example"
	status, _ := v.answer(v.http.Do(r))
	require.Equal(t, http.StatusMisdirectedRequest, status)
}

func TestWhoIsNotPairedSeesNothing(t *testing.T) {
	s, host := served(t)
	stranger := &visitor{t, s, "http://" + host, &http.Client{}, nil}
	for _, path := range []string{"/", "/log", "/shelf", "/photo/" + strings.Repeat("a", 64), "/piece/abcdefgh", "/piece/abcdefgh/card.pdf"} {
		status, body := stranger.get(path)
		require.Equal(t, http.StatusUnauthorized, status, path)
		require.NotContains(t, body, "Begin a piece")
	}
	status, _ := stranger.post("/piece", "name", "x")
	require.Equal(t, http.StatusUnauthorized, status)
	code := s.NewCode()
	status, _ = stranger.post("/pair", "code", code)
	require.Equal(t, http.StatusOK, status)
	status, body := stranger.post("/pair", "code", code)
	require.Equal(t, http.StatusForbidden, status, "a code works once")
	require.Contains(t, body, "used already")
	status, _ = stranger.post("/pair", "code", "guessed1")
	require.Equal(t, http.StatusForbidden, status)
	forged, err := http.NewRequest(http.MethodGet, stranger.base+"/", nil)
	require.NoError(t, err)
	forged.AddCookie(&http.Cookie{Name: s.browsers.cookie, Value: "forged"})
	status, _ = stranger.answer(http.DefaultClient.Do(forged))
	require.Equal(t, http.StatusUnauthorized, status)
}

func TestOtherSitesCannotPost(t *testing.T) {
	v := paired(t)
	for _, headers := range []map[string]string{
		{"Sec-Fetch-Site": "cross-site"}, {"Origin": "http://evil.example"},
		{"Sec-Fetch-Site": "same-site", "Origin": "http://evil.localhost"},
	} {
		r, err := http.NewRequest(http.MethodPost, v.base+"/piece", strings.NewReader("name=stolen"))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		for k, h := range headers {
			r.Header.Set(k, h)
		}
		status, _ := v.answer(v.http.Do(r))
		require.Equal(t, http.StatusForbidden, status, "%v", headers)
	}
	_, body := v.get("/")
	require.NotContains(t, body, "stolen")
}

func TestNoPathReachesTheDisk(t *testing.T) {
	v := paired(t)
	for _, path := range []string{
		"/photo/..%2f..%2f..%2fetc%2fpasswd", "/photo/" + strings.Repeat("0", 64), "/piece/..%2f..%2flog.db", "/piece/%2e%2e/",
		"/static/..%2f..%2fserver.go", "/static/../pages/piece.html",
		"/piece/abcdefgh.0/do", "/log/..%2f..%2f", "/piece/%00%00%00%00%00%00%00%00",
	} {
		status, body := v.get(path)
		require.GreaterOrEqual(t, status, 400, path)
		require.Less(t, status, 500, path)
		require.NotContains(t, body, "root:")
		require.NotContains(t, body, "package web")
	}
	p := v.begin("desk")
	status, body := v.upload(p, "../../../../outside/evil.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status)
	require.NotContains(t, body, "outside/evil")
}

func TestScriptsInFieldsAreText(t *testing.T) {
	v := paired(t)
	const script = `"><script>alert(1)</script><img src=x onerror=alert(2)>`
	p := v.begin(script)
	status, _ := v.upload(p, script+".jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status)
	low, high := boxOf("485,193 549,193 552,567 489,567", t)
	outline := fmt.Sprintf("%.0f,%.0f,%.0f,%.0f", low.X, low.Y, high.X-low.X, high.Y-low.Y)
	_, body := v.get(p + "/outlines")
	photo := regexp.MustCompile(`<option value="([^"]+)" data-hash`).FindStringSubmatch(body)[1]
	photo = strings.NewReplacer("&lt;", "<", "&gt;", ">", "&#34;", `"`, "&amp;", "&").Replace(photo)
	for _, form := range [][]string{
		{"do", "area", "name", script, "wood", script, "surface", "sealed", "outline", outline, "photo", photo},
		{"do", "coating", "name", script, "kind", "wash", "batch", script, "chip-colour", "#5a4030"},
		{"do", "clear", "name", script}, {"do", "target", "target-colour", "44, 14, 20"}, {"do", "note", "note", script},
		{"do", "repair", "name", script, "outline", outline, "photo", photo},
		{"do", "target", "target-colour", script}, {"do", "room", "start", script}, {"do", script},
		{"do", "remove", "what", script, "name", script},
	} {
		status, body = v.post(p+"/do", form...)
		require.Less(t, status, 500, "%v: %s", form, body)
		require.NotContains(t, body, "<script>alert", "%v", form)
		require.NotContains(t, body, "<img src=x", "%v", form)
	}
	paths := []string{
		p, "/", "/log", "/shelf", "/log/" + url.PathEscape(script),
		"/log?text=" + url.QueryEscape(script) + "&colour=" + url.QueryEscape(script),
	}
	asked := url.Values{"photo": {photo}, "coating": {script}, "area": {script}, "look": {"1"}}.Encode()
	for i := range screens {
		paths = append(paths, p+"/"+screens[i].name+"?"+asked)
	}
	for _, path := range paths {
		_, body := v.get(path)
		require.NotContains(t, body, "<script>alert", path)
		require.NotContains(t, body, "<img src=x", path)
	}
	status, body = v.post(p+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status, body)
	require.NotContains(t, body, "<script>alert")
	for _, page := range []string{"/card", "/client"} {
		status, body = v.get(p + page)
		require.Equal(t, http.StatusOK, status)
		require.NotContains(t, body, "<script>alert")
	}
}

// endless gives as many zeros as are asked for.
type endless struct{ left int64 }

func (e *endless) Read(p []byte) (int, error) {
	if e.left <= 0 {
		return 0, io.EOF
	}
	n := min(int64(len(p)), e.left)
	clear(p[:n])
	e.left -= n
	return int(n), nil
}

func TestTooMuchIsRefused(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	body := io.MultiReader(strings.NewReader("--x\r\nContent-Disposition: form-data; name=\"photo\"; "+
		"filename=\"a.jpg\"\r\n\r\n"), &endless{2 << 30})
	r, err := v.http.Post(v.base+p+"/photo", "multipart/form-data; boundary=x", body)
	if err == nil { // else the server has hung up while more was being sent
		require.Equal(t, http.StatusRequestEntityTooLarge, r.StatusCode)
		_ = r.Body.Close()
	}
	status, _ := v.upload(p, "huge.png", hugePNG())
	require.Equal(t, http.StatusUnprocessableEntity, status, "60 000 × 60 000 pixels")
	status, _ = v.upload(p, "text.jpg", []byte("no picture"))
	require.Equal(t, http.StatusUnprocessableEntity, status)
	status, _ = v.post(p+"/do", "do", "note", "note", strings.Repeat("x", 2<<20))
	require.Equal(t, http.StatusRequestEntityTooLarge, status)
	status, _ = v.post("/piece", "name", strings.Repeat("x", 400))
	require.Equal(t, http.StatusUnprocessableEntity, status)
	status, _ = v.get(p)
	require.Equal(t, http.StatusOK, status, "and all is as it was")
	faults, err := v.s.log.Verify(context.Background())
	require.NoError(t, err)
	require.Empty(t, faults)
}

// hugePNG says of itself that it is 60 000 × 60 000 pixels.
func hugePNG() []byte {
	head := []byte{0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60, 8, 2, 0, 0, 0}
	chunk := append([]byte("IHDR"), head...)
	sum := crc32.ChecksumIEEE(chunk)
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return append(out, byte(sum>>24), byte(sum>>16), byte(sum>>8), byte(sum))
}

// A sender that stays silent does not keep others waiting.
func TestASlowSender(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	slow, err := net.Dial("tcp", strings.TrimPrefix(v.base, "http://"))
	require.NoError(t, err)
	defer func() { _ = slow.Close() }()
	_, err = fmt.Fprintf(
		slow,
		"POST %s/photo HTTP/1.1\r\nHost: %s\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: 1000000\r\n\r\n--x\r\n",
		p, strings.TrimPrefix(v.base, "http://"),
	)
	require.NoError(t, err)
	began := time.Now()
	status, _ := v.upload(p, "front.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status)
	require.Less(t, time.Since(began), 20*time.Second)
}

// The first page is small: it comes at once to a phone.
func TestFirstPageIsSmall(t *testing.T) {
	v := paired(t)
	sum := 0
	for _, path := range []string{"/", "/static/bench.css", "/static/bench.js", "/static/draw.js", "/static/icon.svg"} {
		_, body := v.get(path)
		sum += len(body)
	}
	figure.Report(t, "first page", "%.0f kB", float64(sum)/1000)
	require.Less(t, sum, 100_000)
}

// BenchmarkPlanPage shows the page of a piece that is planned.
func BenchmarkPlanPage(b *testing.B) {
	log, err := logbook.Open(context.Background(), b.TempDir()+"/log.db", logbook.Options{Make: true})
	require.NoError(b, err)
	defer func() { _ = log.Close() }()
	s, err := New(log, Options{Hosts: []string{"x"}})
	require.NoError(b, err)
	ctx := context.Background()
	require.NoError(b, log.Write(ctx, func(w *logbook.Writer) error { return w.BeginOnce("desk") }))
	require.NoError(b, s.drafts.begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}))
	require.NoError(b, s.admitPhoto(ctx, "abcdefgh", "front.jpg", bytesOf(drawnCabinet().JPEG)))
	for _, f := range []url.Values{
		{"do": {"area"}, "name": {"frame"}, "outline": {"495,210,45,330"}, "photo": {"front"}, "surface": {"sealed"}},
		{"do": {"coating"}, "name": {"wash"}, "kind": {"wash"}, "chip-colour": {"#5a4030"}},
		{"do": {"target"}, "target-colour": {"42, 15, 21"}},
	} {
		require.NoError(b, stepNamed(f.Get("do")).do(ctx, s, stepRequest{id: "abcdefgh", form: form{f}}))
	}
	require.NoError(b, s.plan(ctx, "abcdefgh"))
	for b.Loop() {
		d, err := s.drafts.load("abcdefgh")
		require.NoError(b, err)
		m, err := s.planned(ctx, d)
		require.NoError(b, err)
		var out strings.Builder
		require.NoError(b, s.pages.ExecuteTemplate(&out, "piece-answer", screenOf(screenNamed("answer"), s.pieceView(d, m), nil)))
		require.Contains(b, out.String(), "<svg class=\"chart\"")
	}
}
