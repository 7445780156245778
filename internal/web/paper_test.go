package web

import (
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
)

// Slips that the program proposes are agreed to by a tap each; the first in each of two photos ties them, and
// all of it can be undone.
func TestSlipsAreTapped(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	v := &visitor{t, b.s, "http://" + b.host, &http.Client{Jar: jar, Timeout: time.Minute}, nil}
	v.post("/pair", "code", b.s.NewCode())
	path := v.begin("sideboard")
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 3, Slips: 2})
	for i := range 2 {
		camera := bench.DrawCamera(3, bench.Phone)
		camera.Exposure *= 1 - 0.1*float64(i)
		view := bench.View{Width: 1200, Height: 900, SamplesPerSide: 1, RollDegrees: float64(i)}
		status, body := v.upload(path, fmt.Sprintf("side %d.jpg", i+1), scene.Shoot(view, camera).JPEG)
		require.Equal(t, 200, status, body)
	}
	for photo := range 2 {
		b.open(fmt.Sprintf("%s/light?photo=side%%20%d", path, photo+1))
		require.Equal(t, 3, js[int](b, `document.querySelectorAll(".proposed polygon.maybe").length`), "three slips in each")
		b.shot(fmt.Sprintf("slips proposed %d", photo+1))
		b.tap(button(".proposed", "1 is paper"))
		b.until(`document.querySelectorAll(".proposed polygon.agreed").length === 1`)
	}
	b.shot("slips agreed")
	d, err := v.s.drafts.load(path[len("/piece/"):])
	require.NoError(t, err)
	require.Len(t, d.Piece.Ties, 1)
	require.Len(t, d.Piece.Ties[0].In, 2)
	require.Len(t, d.Piece.Photos[0].Neutrals, 1)
	status, body := v.post(path+"/do", "do", "undo")
	require.Equal(t, 200, status, body)
	d, err = v.s.drafts.load(path[len("/piece/"):])
	require.NoError(t, err)
	require.Empty(t, d.Piece.Ties)
	b.quiet()
}

// Without a chart, the first slip agreed to is the photo's reference, and areas are read by it: as if a
// person had outlined it as white paper, with no word about light that a lone slip cannot tell of.
func TestOneSlipIsTheReference(t *testing.T) {
	v := paired(t)
	path := v.begin("desk")
	shot := drawnCabinet()
	status, body := v.upload(path, "front.jpg", shot.JPEG)
	require.Equal(t, http.StatusOK, status, body)
	id := path[len("/piece/"):]
	for _, step := range [][]string{
		{"do", "reference", "photo", "front", "kind", "none"},
		{"do", "paper", "photo", "front", "outline", shot.Area(bench.Slip).Outline.String()},
		{"do", "area", "name", "panel", "photo", "front", "surface", "sealed", "outline", shot.Area(bench.Panel).Outline.String()},
	} {
		status, body := v.post(path+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	d, err := v.s.drafts.load(id)
	require.NoError(t, err)
	require.Equal(t, "grey", d.Piece.Photos[0].Reference)
	spot := d.Read["panel"]
	require.Equal(t, "grey", spot.By)
	t.Log(spot.Lab, spot.PlusMinus, shot.Area(bench.Panel).Lab, spot.Warnings)
	require.Less(t, colour.DeltaE2000(shot.Area(bench.Panel).Lab, spot.Lab), spot.PlusMinus)
	for _, warning := range spot.Warnings {
		require.NotContains(t, warning, "slip")
	}
}
