package web

import (
	"bytes"
	"image/jpeg"
	"net/http"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// A raw photo is taken like any other, and shown as a picture that every browser knows.
func TestRawPhotoOnThePages(t *testing.T) {
	v := paired(t)
	p := v.begin("raw")
	c := bench.DrawCamera(5, bench.Phone)
	profile := bench.MakersProfile(c)
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 5, Wash: bench.NewWash(5, "nut brown", 14.5)})
	shot := scene.ShootRaw(bench.View{Width: 800, Height: 600, SamplesPerSide: 1}, c, &profile)
	status, body := v.upload(p, "front.dng", shot.Raw)
	require.Equal(t, http.StatusOK, status, body)
	shown := regexp.MustCompile(`/photo/[^"?]+\?w=[0-9]+`).FindString(body)
	require.NotEmpty(t, shown, body)
	status, picture := v.get(shown)
	require.Equal(t, http.StatusOK, status)
	img, err := jpeg.Decode(bytes.NewReader([]byte(picture)))
	require.NoError(t, err)
	wide := float64(img.Bounds().Dx()) / 800
	at := shot.Area(bench.Slip).Outline.Centre()
	r, g, b, _ := img.At(int(wide*at.X), int(wide*at.Y)).RGBA()
	for _, channel := range []uint32{r, g, b} {
		require.Greater(t, channel>>8, uint32(160), "white paper looks white")
	}
}
