package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// Coatings, woods and coats of the log are found by a colour, the nearest first, and none that is another colour.
func TestTheLogFindsAColour(t *testing.T) {
	v := paired(t)
	p := v.deskWithPhoto()
	frame := drawnCabinet().Area(bench.Frame)
	for _, step := range [][]string{
		{"do", "area", "name", "frame", "photo", "front", "outline", frame.Outline.String(), "surface", "sealed"},
		{"do", "area", "name", "panel", "photo", "front", "outline", drawnCabinet().Area(bench.Panel).Outline.String(), "surface", "sealed"},
		{"do", "coating", "name", "nut-brown wash", "kind", "wash", "chip-colour", "#5a4030"},
		{"do", "plan"},
	} {
		status, body := v.post(p+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	found := func(hex, within string) string {
		status, body := v.get("/log?colour=" + url.QueryEscape(hex) + "&within=" + within)
		require.Equal(t, http.StatusOK, status, body)
		_, body, _ = strings.Cut(body, `id="find"`)
		body, _, _ = strings.Cut(body, "</section>")
		require.NotContains(t, body, "ΔE")
		require.NotContains(t, body, "L*")
		return body
	}
	read := v.draft(p).Read["frame"].Lab
	body := found(read.Hex(), "")
	require.Contains(t, body, "frame")
	require.Contains(t, body, "Nobody would see a difference.")
	require.NotContains(t, body, "panel", "that is another colour")
	require.NotContains(t, body, "nut-brown wash")
	body = found("#5a4030", "")
	require.Contains(t, body, "nut-brown wash")
	body = found("#5c4231", "")
	require.Contains(t, body, "nut-brown wash", "nearly so")
	require.Contains(t, found("#00ff00", "8"), "Nothing in the log is like this colour.")
	status, _ := v.get("/log?colour=nonsense")
	require.Equal(t, http.StatusUnprocessableEntity, status)
	_, body = v.get(p + "/woods")
	require.Contains(t, body, "/log?colour="+url.QueryEscape(read.Hex()))
}

// TestAColourIsFoundByTouch taps a wood on a photo and finds what is like it in the log.
func TestAColourIsFoundByTouch(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.anEarlierPiece()
	b.open("/log")
	b.lookAt("log")
	b.tap(`document.querySelector(".plain-thumbs a")`)
	b.screen("like")
	b.fits("find a colour")
	b.tapPhoto(bench.FrameBare)
	b.taken("like")
	b.lookAt("tapped")
	b.tap(button(".foot", "Find it in the log"))
	b.until(`location.pathname === "/log" && document.querySelectorAll(".entries .beside").length > 0`)
	require.Contains(t, js[string](b, `document.querySelector(".entries").textContent`), "top")
	b.noSideways()
	b.lookAt("found")
	b.quiet()
}
