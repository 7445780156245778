package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"testing"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"huewright/imageio/slip"
	"huewright/internal/bench"
	"huewright/internal/workshop"
)

// fits asks how well something fits.
func (v *visitor) fits(path, what, outline string) fitAnswer {
	v.t.Helper()
	status, body := v.post(path+"/fit", "photo", "front", "what", what, "outline", outline)
	require.Equal(v.t, http.StatusOK, status, body)
	var answer fitAnswer
	require.NoError(v.t, json.Unmarshal([]byte(body), &answer))
	return answer
}

// A chart that lies where it was dragged is good; one that was dragged off is told so, and so is a slip that lies on wood.
func TestTheFitIsToldWhereItIsDragged(t *testing.T) {
	v := paired(t)
	p := v.deskWithPhoto()
	corners := v.draft(p).Piece.Photos[0].Corners
	require.NotEmpty(t, corners)
	good := v.fits(p, "chart", corners)
	require.Empty(t, good.Problem)
	require.Equal(t, "Good.", good.Says)
	off := v.fits(p, "chart", "600,300 900,300 900,500 600,500")
	require.NotEmpty(t, off.Problem)
	require.NotEmpty(t, off.Hint)
	wood := v.fits(p, "paper", drawnCabinet().Area(bench.Panel).Outline.String())
	require.NotEqual(t, "Good.", wood.Says)
	require.NotEmpty(t, v.fits(p, "paper", "").Problem)
	require.NotEmpty(t, v.fits(p, "chart", "1,1").Problem)
	status, body := v.post(p+"/fit", "photo", "nowhere", "what", "chart", "outline", corners)
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "That photo is not here.")
}

// A slip that is moved is moved wherever it is named, and undone as a whole.
func TestAMovedSlipIsMovedEverywhere(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 3, Slips: 2}).Shoot(
		bench.View{Width: 1200, Height: 900, SamplesPerSide: 1}, bench.DrawCamera(3, bench.Phone),
	)
	status, body := v.upload(p, "front.jpg", shot.JPEG)
	require.Equal(t, http.StatusOK, status, body)
	look := v.draft(p).Photos["front"]
	require.NotEmpty(t, look.Papers)
	from := look.Papers[0].Outline
	status, body = v.post(p+"/do", "do", "paper", "photo", "front", "outline", from)
	require.Equal(t, http.StatusOK, status, body)
	status, body = v.post(p+"/do", "do", "move", "photo", "front", "from", from, "outline", "10,20 40,20 40,60 10,60")
	require.Equal(t, http.StatusOK, status, body)
	d := v.draft(p)
	require.NotContains(t, fmt.Sprint(d.Piece.Photos[0], d.Slips, d.Photos["front"].Papers), from)
	require.Equal(t, "10,20 40,20 40,60 10,60", d.Photos["front"].Papers[0].Corners)
	require.Equal(t, []string{"10,20 40,20 40,60 10,60"}, d.Piece.Photos[0].Neutrals)
	require.Equal(t, "10,20 40,20 40,60 10,60", d.Slips["front"])
	status, _ = v.post(p+"/do", "do", "undo")
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, from, v.draft(p).Photos["front"].Papers[0].Outline)
	for _, wrong := range []string{"here", "1,2", ""} {
		status, _ = v.post(p+"/do", "do", "move", "photo", "front", "from", from, "outline", wrong)
		require.Equal(t, http.StatusUnprocessableEntity, status, wrong)
	}
}

// TestCornersAreDraggedOnThePhoto drags a corner of the chart away by its ring and back by keys, and keeps it.
func TestCornersAreDraggedOnThePhoto(t *testing.T) {
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	b.addPhoto()
	piece := b.piece()
	b.open(piece + "/light")
	b.until(`document.querySelectorAll(".handle").length === 4`)
	b.fits("light")
	b.lookAt("handles")
	was := js[string](b, `document.querySelector("[data-fit=chart]").dataset.outline`)
	ring := js[spotOnScreen](b, `(() => { const r = document.querySelector(".handle .ring").getBoundingClientRect(); `+
		`return {X: r.x + r.width / 2, Y: r.y + r.height / 2} })()`)
	corner := js[spotOnScreen](b, `(() => { const r = document.querySelector(".handle path").getBoundingClientRect(); `+
		`return {X: r.x + r.width / 2, Y: r.y + r.height / 2} })()`)
	require.Greater(t, (ring.X-corner.X)*(ring.X-corner.X)+(ring.Y-corner.Y)*(ring.Y-corner.Y), 30.0*30, "the ring stands off its corner")
	b.pull(ring, spotOnScreen{ring.X + 60, ring.Y + 40})
	b.until(`!["", "Looking …"].includes(document.querySelector(".tell").textContent) && ` +
		`!document.querySelector(".tell").textContent.startsWith("Off?")`)
	require.NotEqual(t, "Good.", js[string](b, `document.querySelector(".tell").textContent`))
	b.view("dragged off")
	b.pull(spotOnScreen{ring.X + 60, ring.Y + 40}, ring)
	js[bool](b, `document.querySelector(".handle").focus(), true`)
	b.keys(kb.ArrowRight)
	b.keys(kb.ArrowLeft)
	b.until(`document.querySelector(".tell").textContent === "Good."`)
	b.view("dragged back")
	b.tap(button(".foot", "The chart is there"))
	b.until(`!document.querySelector("[aria-busy]") && document.querySelector(".foot .main[data-go-on]")?.checkVisibility()`)
	now := js[string](b, `document.querySelector("[data-fit=chart]").dataset.outline`)
	var x, y, x2, y2 float64
	_, err := fmt.Sscanf(was, "%f,%f", &x, &y)
	require.NoError(t, err)
	_, err = fmt.Sscanf(now, "%f,%f", &x2, &y2)
	require.NoError(t, err)
	require.InDelta(t, x, x2, 8)
	require.InDelta(t, y, y2, 8)
	b.quiet()
}

// What is said to be no printed slip is left out by the page and by what reads the photo, until it is said to be one after all.
func TestWhatIsNoSlipIsLeftOut(t *testing.T) {
	v := paired(t)
	path := v.begin("desk")
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 3,
		Printed: []bench.PrintedSlip{{Design: slip.Design{Number: 4, Set: 1}, Spot: 1}}}).Shoot(
		bench.View{Width: 1600, Height: 1200, SamplesPerSide: 1}, bench.DrawCamera(3, bench.Phone))
	status, body := v.upload(path, "front.jpg", shot.JPEG)
	require.Equal(t, http.StatusOK, status, body)
	id := path[len("/piece/"):]
	slips := func() []slip.Design {
		d, err := v.s.drafts.load(id)
		require.NoError(t, err)
		ref, err := d.Piece.Photos[0].ReadReference()
		require.NoError(t, err)
		result, err := workshop.Calibrate(t.Context(), v.s.album, workshop.MeasureRequest{Photo: d.Piece.Photos[0].File, Reference: ref})
		require.NoError(t, err)
		return result.Calibration.Slips
	}
	d, err := v.s.drafts.load(id)
	require.NoError(t, err)
	require.Len(t, d.Photos["front"].SlipsAt, 1)
	require.Len(t, slips(), 1)
	_, page := v.get(path + "/light")
	require.Contains(t, page, "Slip 4 is no slip")
	status, body = v.post(path+"/do", "do", "no-slip", "photo", "front", "outline", d.Photos["front"].SlipsAt[0])
	require.Equal(t, http.StatusOK, status, body)
	require.Empty(t, slips())
	_, page = v.get(path + "/light")
	require.NotContains(t, page, "Slip 4 is no slip")
	require.Contains(t, page, "1 slip left out")
	status, body = v.post(path+"/do", "do", "remove", "what", "no-slip", "name", "front")
	require.Equal(t, http.StatusOK, status, body)
	require.Len(t, slips(), 1)
}
