package web

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// file asks for a file by a form, and gives its name and bytes.
func (v *visitor) file(path string) (name string, data []byte) {
	v.t.Helper()
	r, err := v.http.PostForm(v.base+path, url.Values{})
	require.NoError(v.t, err)
	defer func() { require.NoError(v.t, r.Body.Close()) }()
	require.Equal(v.t, http.StatusOK, r.StatusCode)
	data, err = io.ReadAll(r.Body)
	require.NoError(v.t, err)
	return r.Header.Get("Content-Disposition"), data
}

// takeIn sends a saved log.
func (v *visitor) takeIn(name string, data []byte) (int, string) {
	v.t.Helper()
	return v.send("/log/take-in", "log", name, data)
}

func (v *visitor) exported() string {
	v.t.Helper()
	var out bytes.Buffer
	require.NoError(v.t, v.s.log.Export(context.Background(), &out))
	return out.String()
}

// The log of one phone is saved as one file and taken in on another: the pieces, their photos and what was done on them are there.
func TestTheLogIsSavedAndTakenIn(t *testing.T) {
	v := paired(t)
	now := time.Date(2026, 3, 14, 9, 0, 0, 0, time.Local)
	v.s.now = func() time.Time { return now }
	p := v.deskWithPhoto()
	status, body := v.get("/log")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "Last saved elsewhere: never.")
	name, saved := v.file("/log/save")
	require.Equal(t, `attachment; filename="huewright-log-2026-03-14.zip"`, name)
	_, body = v.get("/log")
	require.Contains(t, body, "Last saved elsewhere: ")
	require.NotContains(t, body, "never")
	status, _ = v.post("/log/saved")
	require.Equal(t, http.StatusNotFound, status, "that is said where it was saved")
	name, rows := v.file("/log/export")
	require.Equal(t, `attachment; filename="huewright-log-2026-03-14.jsonl"`, name)
	require.Equal(t, v.exported(), string(rows))

	other := paired(t)
	status, body = other.takeIn("log.jsonl", rows)
	require.Equal(t, http.StatusOK, status, body)
	require.Contains(t, body, "1 photo is not here.")
	status, body = other.takeIn("log.zip", saved)
	require.Equal(t, http.StatusOK, status, body)
	require.Contains(t, body, "Nothing in it is new.")
	require.Contains(t, body, "1 photo came with it.")
	require.Equal(t, string(rows), other.exported())
	_, body = other.get("/")
	require.Contains(t, body, "desk")
	status, _ = other.get("/photo/" + v.draft(p).Piece.Photos[0].File + "?w=200")
	require.Equal(t, http.StatusOK, status)
}

func TestDaysSinceItWasSaved(t *testing.T) {
	at := time.Date(2026, 3, 14, 23, 50, 0, 0, time.UTC)
	for after, days := range map[time.Duration]int{0: 0, 9 * time.Minute: 0, 11 * time.Minute: 1, 25 * time.Hour: 2, -time.Hour: 0} {
		require.Equal(t, days, daysBetween(at, at.Add(after)), after)
	}
}

// What is no saved log, or has come to an end too soon, changes nothing and leaves nothing behind.
func TestWhatIsNoSavedLogChangesNothing(t *testing.T) {
	v := paired(t)
	v.deskWithPhoto()
	_, saved := v.file("/log/save")
	before := v.exported()
	for name, data := range map[string][]byte{
		"photo.jpg": drawnCabinet().JPEG, "empty": nil, "half.zip": saved[:len(saved)/2], "text": []byte("dear log\n"),
		"log.db": must(os.ReadFile(v.s.log.Path())),
	} {
		status, body := v.takeIn(name, data)
		require.Equal(t, http.StatusUnprocessableEntity, status, name)
		require.Contains(t, body, "Nothing was changed.", name)
	}
	status, body := v.post("/log/take-in")
	require.Equal(t, http.StatusBadRequest, status)
	require.Contains(t, body, "Nothing arrived.")
	require.Equal(t, before, v.exported())

	// One that is cancelled on its way.
	cookie := v.http.Jar.Cookies(must(http.NewRequest(http.MethodGet, v.base, nil)).URL)[0]
	line, err := net.Dial("tcp", strings.TrimPrefix(v.base, "http://"))
	require.NoError(t, err)
	_, err = fmt.Fprintf(line, "POST /log/take-in HTTP/1.1\r\nHost: %s\r\nCookie: %s=%s\r\nContent-Type: multipart/form-data; boundary=x\r\n"+
		"Content-Length: 9000000\r\n\r\n--x\r\nContent-Disposition: form-data; name=\"log\"; filename=\"log.zip\"\r\n\r\n%s",
		strings.TrimPrefix(v.base, "http://"), cookie.Name, cookie.Value, saved[:len(saved)/3])
	require.NoError(t, err)
	require.Eventually(t, func() bool { return len(v.halfWritten()) == 1 }, 20*time.Second, 10*time.Millisecond)
	require.NoError(t, line.Close())
	require.Eventually(t, func() bool { return len(v.halfWritten()) == 0 }, 20*time.Second, 10*time.Millisecond)
	require.Equal(t, before, v.exported())
}

// halfWritten are files that are not whole yet.
func (v *visitor) halfWritten() []string {
	v.t.Helper()
	all, err := filepath.Glob(filepath.Join(v.s.drafts.folder, halfWritten+"*"))
	require.NoError(v.t, err)
	more, err := filepath.Glob(filepath.Join(filepath.Dir(v.s.log.Path()), halfWritten+"*"))
	require.NoError(v.t, err)
	return append(all, more...)
}

// A log that cannot be read to its end is saved by no file that looks whole.
func TestASaveThatFailsIsNoFile(t *testing.T) {
	v := paired(t)
	v.deskWithPhoto()
	require.NoError(t, os.Chmod(v.s.log.PhotoFolder(), 0))
	t.Cleanup(func() { require.NoError(t, os.Chmod(v.s.log.PhotoFolder(), 0o700)) })
	if _, err := os.ReadDir(v.s.log.PhotoFolder()); err == nil {
		t.Skip("whoever runs this may read everything")
	}
	status, _ := v.post("/log/save")
	require.NotEqual(t, http.StatusOK, status)
	at, err := v.s.log.Saved()
	require.NoError(t, err)
	require.True(t, at.IsZero())
}

// A browser that is gone before the last of a small file is written has saved nothing.
func TestASaveThatBreaksOffIsNone(t *testing.T) {
	v := paired(t)
	v.begin("desk")
	require.PanicsWithValue(t, http.ErrAbortHandler, func() {
		_ = v.s.saveLog(gone{httptest.NewRecorder()}, httptest.NewRequest(http.MethodPost, "/log/save", nil))
	})
	at, err := v.s.log.Saved()
	require.NoError(t, err)
	require.True(t, at.IsZero())
}

// gone is a connection that nothing can be written to any more.
type gone struct{ http.ResponseWriter }

func (gone) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

// TestTheLogIsSavedByTouch looks at the page of the log, saves it and takes it in.
func TestTheLogIsSavedByTouch(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	b.open("/log")
	b.noSideways()
	b.lookAt("log")
	js[bool](b, `document.querySelectorAll("#save details").forEach((d) => d.open = true), true`)
	b.lookAt("log open")
	var out bytes.Buffer
	require.NoError(t, b.s.log.Export(context.Background(), &out))
	path := filepath.Join(t.TempDir(), "log.jsonl")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o600))
	b.setFile(`#save input[type=file]`, path)
	b.tap(button("#save", "Take it in"))
	b.until(`document.querySelector("main").textContent.includes("Nothing in it is new.")`)
	b.lookAt("log taken in")
	b.quiet()
}
