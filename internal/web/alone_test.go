package web

import (
	"archive/zip"
	"bytes"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestAlone asks the pages as a browser does that runs the program itself, below a path of a host.
func TestAlone(t *testing.T) {
	log := emptyLog(t)
	t.Cleanup(func() { require.NoError(t, log.Close()) })
	s, err := New(log, Options{Hosts: []string{"wood.example"}, Program: "test", Alone: true, Under: "/tools/"})
	require.NoError(t, err)
	pages := s.Handler()
	ask := func(method, target, form string) *http.Response {
		r := httptest.NewRequest(method, "https://wood.example"+target, strings.NewReader(form))
		if form != "" {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		}
		w := httptest.NewRecorder()
		pages.ServeHTTP(w, r)
		return w.Result()
	}
	text := func(r *http.Response) string {
		body, err := io.ReadAll(r.Body)
		require.NoError(t, err)
		return string(body)
	}

	begun := ask("POST", "/tools/piece", url.Values{"name": {`a chest ="/of drawers" ="/`}}.Encode())
	require.Equal(t, http.StatusSeeOther, begun.StatusCode)
	piece := begun.Header.Get("Location")
	require.Regexp(t, `^/tools/piece/[a-z0-9]+$`, piece)

	address := regexp.MustCompile(` (?:href|src|action|formaction|data-[a-z]+)="(/[^"]*)"`)
	for _, path := range []string{
		"/tools/", "/tools/log", "/tools/shelf", "/tools/help", piece + "/photos", piece + "/woods", piece + "/goal",
		piece + "/shelf", piece + "/answer", piece + "/bench", piece + "/papers",
	} {
		page := ask("GET", path, "")
		require.Equal(t, http.StatusOK, page.StatusCode, path)
		require.Contains(t, page.Header.Get("Content-Security-Policy"), "frame-ancestors 'self'")
		found := address.FindAllStringSubmatch(text(page), -1)
		require.NotEmpty(t, found, path)
		for _, a := range found {
			require.True(t, strings.HasPrefix(a[1], "/tools/"), "%s has %s", path, a[1])
			require.NotContains(t, a[1], "/browsers")
		}
	}
	require.Contains(t, text(ask("GET", "/tools/", "")), `a chest =&#34;/of drawers&#34; =&#34;/`, "what was typed stays as it is")
	require.Contains(t, text(ask("GET", "/tools/help", "")), "stay in this browser")

	// What is packed is nowhere else yet.
	require.Equal(t, http.StatusOK, ask("POST", "/tools/log/save", "").StatusCode)
	require.Contains(t, text(ask("GET", "/tools/log", "")), "Last saved elsewhere: never.")
	require.Equal(t, "Last saved elsewhere: today.", text(ask("POST", "/tools/log/saved", "")))

	for _, path := range []string{"/", "/log", "/tools/pair", "/tools/browsers", "/elsewhere/log"} {
		require.Equal(t, http.StatusNotFound, ask("GET", path, "").StatusCode, path)
	}
}

// TestKeptAfterDamage saves what a browser's file system kept after a fault, and takes it away.
func TestKeptAfterDamage(t *testing.T) {
	log := emptyLog(t)
	t.Cleanup(func() { require.NoError(t, log.Close()) })
	found := filepath.Join(t.TempDir(), "found")
	s, err := New(log, Options{Hosts: []string{"wood.example"}, Alone: true, Found: found})
	require.NoError(t, err)
	ask := func(method, target string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		s.Handler().ServeHTTP(w, httptest.NewRequest(method, "https://wood.example"+target, http.NoBody))
		return w
	}
	require.NotContains(t, ask("GET", "/log").Body.String(), "Kept after damage")
	require.Equal(t, http.StatusNotFound, ask("POST", "/log/found").Code)

	kept := map[string]string{"found-2026-03-14-090000/7": "half a log", "found-2026-03-15-090000/7": "a photo"}
	for name, content := range kept {
		path := filepath.Join(filepath.Dir(found), filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
	}
	require.Contains(t, ask("GET", "/log").Body.String(), "2 files stayed as found")
	saved := ask("POST", "/log/found").Body.Bytes()
	archive, err := zip.NewReader(bytes.NewReader(saved), int64(len(saved)))
	require.NoError(t, err)
	for name, content := range kept {
		data, err := fs.ReadFile(archive, name)
		require.NoError(t, err)
		require.Equal(t, content, string(data))
	}
	require.Len(t, archive.File, len(kept))

	require.Equal(t, http.StatusSeeOther, ask("POST", "/log/found/remove").Code)
	require.NotContains(t, ask("GET", "/log").Body.String(), "Kept after damage")
	left, err := os.ReadDir(filepath.Dir(found))
	require.NoError(t, err)
	require.Empty(t, left)
}
