package web

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/logbook"
)

// restarted is another server over the log of one that was ended, and a visitor of it.
func restarted(t *testing.T, path string) *visitor {
	return visit(t, must(openLog(path)))
}

// plannedCabinet is a piece that is planned, and the path of its page.
func plannedCabinet(t *testing.T, v *visitor, name string) string {
	p := v.begin(name)
	status, body := v.upload(p, "front.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status, body)
	for _, step := range [][]string{
		{"do", "area", "name", "frame", "photo", "front", "surface", "sealed", "outline", drawnCabinet().Area(bench.Frame).Outline.String()},
		{"do", "coating", "name", "wash", "kind", "wash", "paint", "1", "thinner", "4", "chip-colour", "#5a4030"},
		{"do", "target", "target-colour", "42, 15, 21"}, {"do", "plan"},
	} {
		status, body = v.post(p+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	require.Contains(t, body, `<svg class="chart"`)
	return p
}

// A plan outlives the program: text, pictures, card and all. Nothing more comes into the log by looking at it.
func TestPlansOutliveTheProgram(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "log.db")
	v := restarted(t, path)
	p := plannedCabinet(t, v, "desk")
	_, before := v.get(p + "/answer")
	entries := len(must(v.s.log.Timeline(t.Context(), "desk")))
	pictures := map[string]string{}
	for _, file := range []string{"/preview/front", "/preview/front?now=1", "/strip/frame", "/coats.ics"} {
		status, body := v.get(p + file)
		require.Equal(t, http.StatusOK, status, file)
		pictures[file] = body
	}
	v.end()

	v = restarted(t, path)
	_, after := v.get(p + "/answer")
	require.NotContains(t, after, "ut of date")
	require.Contains(t, after, "Planned ")
	cut := func(page string) string {
		_, page, _ = strings.Cut(page, `<div class="sheet">`)
		page, _, _ = strings.Cut(page, `</pre>`)
		return page
	}
	require.NotEmpty(t, cut(after))
	require.Equal(t, cut(before), cut(after))
	for file, body := range pictures {
		status, again := v.get(p + file)
		require.Equal(t, http.StatusOK, status, file)
		if strings.HasSuffix(file, ".ics") {
			continue // it says when it was made
		}
		require.Equal(t, body, again, file)
	}
	status, _ := v.get(p + "/card.pdf")
	require.Equal(t, http.StatusOK, status)
	require.Len(t, must(v.s.log.Timeline(t.Context(), "desk")), entries)
	status, _ = v.post(p+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status)
	require.Len(t, must(v.s.log.Timeline(t.Context(), "desk")), entries, "the same plan is kept once")
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// What a plan stands on may change: it is then marked and stays, and is right again when the change is undone.
func TestPlansGoOutOfDateAndStay(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "log.db")
	v := restarted(t, path)
	p := plannedCabinet(t, v, "desk")
	for _, again := range []bool{false, true} {
		if again {
			v.end()
			v = restarted(t, path)
		}
		status, _ := v.post(p+"/do", "do", "room", "temperature", "12")
		require.Equal(t, http.StatusOK, status)
		_, body := v.get(p + "/answer")
		require.NotContains(t, body, "ut of date", "a room does not change counts")
		status, _ = v.post(p+"/do", "do", "target", "target-colour", "50, 15, 21")
		require.Equal(t, http.StatusOK, status)
		_, body = v.get(p + "/answer")
		require.Contains(t, body, "Out of date: the piece was changed")
		require.Contains(t, body, `<svg class="chart"`)
		require.Contains(t, body, "Plan the coats again")
		for _, file := range []string{"/preview/front", "/strip/frame", "/card.pdf", "/client.pdf", "/coats.ics"} {
			status, _ = v.get(p + file)
			require.Equal(t, http.StatusOK, status, file)
		}
		for _, page := range []string{"/card", "/client"} {
			_, body = v.get(p + page)
			require.Contains(t, body, "Out of date: the piece was changed", "on paper it could not be told otherwise")
		}
		status, _ = v.post(p+"/do", "do", "undo")
		require.Equal(t, http.StatusOK, status)
		_, body = v.get(p + "/answer")
		require.NotContains(t, body, "ut of date")
	}
	// What the log learns elsewhere about the same coating bears on it too.
	other := v.begin("chest")
	status, body := v.upload(other, "front.jpg", drawnCabinet().JPEG)
	require.Equal(t, http.StatusOK, status, body)
	for _, step := range [][]string{
		{"do", "area", "name", "frame", "photo", "front", "surface", "sealed", "outline", drawnCabinet().Area(bench.Frame).Outline.String()},
		{"do", "coating", "name", "wash", "kind", "wash", "paint", "1", "thinner", "4", "chip-colour", "#5a4030"},
		{"do", "test", "coating", "wash", "coats", "1", "ground-photo", "front", "result-photo", "front",
			"ground-outline", drawnCabinet().Area(bench.FrameBare).Outline.String(),
			"result-outline", drawnCabinet().Area(bench.FrameTested).Outline.String()},
		{"do", "target", "target-colour", "42, 15, 21"}, {"do", "plan"},
	} {
		status, body = v.post(other+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	_, body = v.get(p + "/answer")
	require.Contains(t, body, "Out of date: the log has learned more")
	require.Contains(t, body, `<svg class="chart"`)
	status, body = v.post(p+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status)
	require.NotContains(t, body, "ut of date")
}

// A plan that cannot be made again is still there as the log has it, and why is said.
func TestAPlanWhosePhotoIsGone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	v := restarted(t, path)
	p := plannedCabinet(t, v, "desk")
	v.end()
	require.NoError(t, os.RemoveAll(logbook.PhotosOf(path)))
	v = restarted(t, path)
	status, body := v.get(p + "/answer")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "cannot be shown whole now")
	require.Regexp(t, `frame: [^<]*wash`, body)
	status, _ = v.get(p + "/card")
	require.Equal(t, http.StatusConflict, status)
}

// While others take all turns the page comes all the same, with what the log has of the plan.
func TestAPlanThatWaitsForItsTurn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	v := restarted(t, path)
	p := plannedCabinet(t, v, "desk")
	v.end()
	v = restarted(t, path)
	release := must(v.s.acquire(t.Context()))
	status, body := v.get(p + "/answer")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "The program is busy")
	require.Regexp(t, `frame: [^<]*wash`, body)
	release()
	_, body = v.get(p + "/answer")
	require.Contains(t, body, `<svg class="chart"`)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	d := v.draft(p)
	d.Piece.Target.Lab[0]++
	_, err := v.s.planned(ended, d)
	require.ErrorIs(t, err, context.Canceled)
}
