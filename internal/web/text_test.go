package web

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/piece"
)

// What cannot be seen does not come into names, wherever they come from.
func TestNamesHoldWhatCanBeSeen(t *testing.T) {
	for given, want := range map[string]string{
		"desk\x00\x07\x1b[31m":        "desk [31m",
		"desk\u202egpj.exe":           "deskgpj.exe",
		"\u2066a\u2069\u200f\u061cb":  "ab",
		"left\u2028right\u0085end":    "left right end",
		"\ufeffdesk \xff\xfe":         "desk",
		"Schränkchen 👩‍🔧 میز\u200cها": "Schränkchen 👩‍🔧 میز\u200cها",
		"  two \t words\r\nand more ": "two words and more",
	} {
		require.Equal(t, want, oneLine(given))
	}
	require.Equal(t, "one\ntwo\n\nthree", severalLines(" one\u202e\r\ntwo \n\nthree\x00\n"))
}

func TestNamesFromFormsAndFilesAreClean(t *testing.T) {
	v := paired(t)
	p := v.begin("desk\u202e\x07")
	status, body := v.upload(p, "fro\u202ent.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status, body)
	outline := drawnCabinet().Area(bench.Panel).Outline.String()
	for _, step := range [][]string{
		{"do", "area", "name", "pa\u202enel", "photo", "front", "outline", outline, "wood", "a\u2067sh"},
		{"do", "coating", "name", "wa\u200fsh", "kind", "wash", "batch", "ti\u202dn", "chip-colour", "#5a4030"},
		{"do", "note", "note", "dries\u202e slowly\nby the window"},
	} {
		status, body = v.post(p+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	for _, path := range []string{p, "/", "/log/desk", "/shelf", "/log?text=" + url.QueryEscape("sl\u202eowly")} {
		status, body = v.get(path)
		require.Equal(t, http.StatusOK, status, path)
		require.NotContains(t, body, "\u202e", path)
		require.False(t, strings.ContainsAny(body, "\u2067\u200f\u202d\x07"), path)
	}
	_, body = v.get("/log/desk")
	require.Regexp(t, `dries slowly\s+by the window`, body)
	d, err := v.s.drafts.load(p[len("/piece/"):])
	require.NoError(t, err)
	require.Equal(t, "front", d.Piece.Photos[0].Name)
	require.Equal(t, "panel", d.Piece.Areas[0].Name)
}

// Names are counted in letters, whatever bytes those take.
func TestNamesAreCountedInLetters(t *testing.T) {
	v := paired(t)
	long := strings.Repeat("ж", 200)
	p := v.begin(long)
	status, body := v.post("/piece", "name", long+"ж")
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "200 letters")
	coating := strings.Repeat("漆", 190)
	status, body = v.post(p+"/do", "do", "coating", "name", coating, "kind", "wash", "chip-colour", "#5a4030")
	require.Equal(t, http.StatusOK, status, body)
	status, body = v.upload(p, strings.Repeat("фото", 10)+".jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status, body)
	status, body = v.upload(p, strings.Repeat("фото", 30)+".jpg", append(bytes.Clone(drawnCabinet().JPEG), 1))
	require.Equal(t, http.StatusOK, status, body)
	d, err := v.s.drafts.load(p[len("/piece/"):])
	require.NoError(t, err)
	require.Equal(t, strings.Repeat("фото", 10), d.Piece.Photos[0].Name)
	require.Equal(t, strings.Repeat("фото", 10)+" 2", d.Piece.Photos[1].Name)
	require.Equal(t, coating, d.Piece.Coatings[0].Name)
	outline := strings.Repeat("10,10 200,20 180,190 ", 60) // a careful hand sets many points
	_, err = form{url.Values{"outline": {outline}}}.outline("outline", "the outline")
	require.NoError(t, err)
}

// The folder of what pages need lists nothing.
func TestFilesOfPagesAreNotListed(t *testing.T) {
	v := paired(t)
	for _, path := range []string{"/static/", "/static", "/static/.", "/static//"} {
		status, body := v.get(path)
		require.Equal(t, http.StatusNotFound, status, path)
		require.NotContains(t, body, "bench.css", path)
	}
	for _, path := range []string{"bench.css", "bench.js", "draw.js", "icon.svg", "guide.svg"} {
		status, _ := v.get("/static/" + path)
		require.Equal(t, http.StatusOK, status, path)
	}
}

// What a program that was ended left half written goes when the next one begins; what another may be writing stays.
func TestHalfWrittenDraftsAreCleaned(t *testing.T) {
	folder := t.TempDir()
	d, err := openDrafts(folder)
	require.NoError(t, err)
	require.NoError(t, d.begin(&pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}))
	old, fresh, other := filepath.Join(folder, "incoming-1"), filepath.Join(folder, "incoming-2"), filepath.Join(folder, "mine.txt")
	for _, path := range []string{old, fresh, other} {
		require.NoError(t, os.WriteFile(path, []byte("{"), 0o600))
	}
	long := time.Now().Add(-25 * time.Hour)
	require.NoError(t, os.Chtimes(old, long, long))
	require.NoError(t, os.Chtimes(other, long, long))
	_, err = openDrafts(folder)
	require.NoError(t, err)
	_, err = os.Stat(old)
	require.ErrorIs(t, err, fs.ErrNotExist)
	for _, path := range []string{fresh, other, filepath.Join(folder, "abcdefgh.00000001.json")} {
		require.FileExists(t, path)
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	require.NoError(t, err)
	return string(data)
}

// A full disk is said, and what to do about it.
func TestAFullDiskIsSaid(t *testing.T) {
	s, _ := served(t)
	w := httptest.NewRecorder()
	full := &fs.PathError{Op: "write", Err: syscall.ENOSPC}
	s.fail(w, httptest.NewRequest(http.MethodGet, "/", nil), failed(http.StatusUnprocessableEntity, full))
	require.Equal(t, http.StatusInsufficientStorage, w.Code)
	require.Contains(t, w.Body.String(), "The disk is full")
	require.NotContains(t, w.Body.String(), "<pre")
}
