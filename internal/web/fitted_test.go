package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/slip"
	"huewright/internal/bench"
	"huewright/internal/piece"
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
	b.open(piece + "/light") // a browser that has just changed its size is slow to tell
	b.until(`document.querySelectorAll(".handle").length === 4`)
	was := js[string](b, `document.querySelector("[data-fit=chart]").dataset.outline`)
	ring := js[spotOnScreen](b, `(() => { const r = document.querySelector(".handle .ring").getBoundingClientRect(); `+
		`return {X: r.x + r.width / 2, Y: r.y + r.height / 2} })()`)
	corner := js[spotOnScreen](b, `(() => { const r = document.querySelector(".handle path").getBoundingClientRect(); `+
		`return {X: r.x + r.width / 2, Y: r.y + r.height / 2} })()`)
	require.Greater(t, (ring.X-corner.X)*(ring.X-corner.X)+(ring.Y-corner.Y)*(ring.Y-corner.Y), 30.0*30, "the ring stands off its corner")
	b.pull(ring, spotOnScreen{ring.X + 60, ring.Y + 40})
	b.until(`!["", "Looking …"].includes(document.querySelector(".tell").textContent) && ` +
		`!document.querySelector(".tell").textContent.startsWith("Is an outline off?")`)
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

// deskWithSlip begins a piece with one photo, of a cabinet with slip 4 on it.
func (v *visitor) deskWithSlip() (path string) {
	v.t.Helper()
	path = v.begin("desk")
	status, body := v.upload(path, "front.jpg", shotWithSlip().JPEG)
	require.Equal(v.t, http.StatusOK, status, body)
	return path
}

var shotWithSlip = sync.OnceValue(func() *bench.Shot {
	return bench.Cabinet(bench.CabinetOptions{Seed: 3,
		Printed: []bench.PrintedSlip{{Design: slip.Design{Number: 4, Set: 1}, Spot: 1}}}).Shoot(
		bench.View{Width: 1600, Height: 1200, SamplesPerSide: 1}, bench.DrawCamera(3, bench.Phone))
})

// slipsRead are the printed slips that the first photo of a piece is read with.
func (v *visitor) slipsRead(path string) []slip.Design {
	v.t.Helper()
	p := v.draft(path).Piece.Photos[0]
	ref, err := p.ReadReference()
	require.NoError(v.t, err)
	result, err := workshop.Calibrate(v.t.Context(), v.s.album, workshop.MeasureRequest{Photo: p.File, Reference: ref})
	require.NoError(v.t, err)
	return result.Calibration.Slips
}

// What is said to be no printed slip is left out by the page and by what reads the photo, until it is said to be one after all.
func TestWhatIsNoSlipIsLeftOut(t *testing.T) {
	v := paired(t)
	path := v.deskWithSlip()
	d := v.draft(path)
	slips := func() []slip.Design { return v.slipsRead(path) }
	require.Len(t, d.Photos["front"].SlipsAt, 1)
	require.Len(t, slips(), 1)
	_, page := v.get(path + "/light")
	require.Contains(t, page, "Slip 4 is no slip")
	status, body := v.post(path+"/do", "do", "no-slip", "photo", "front", "outline", d.Photos["front"].SlipsAt[0])
	require.Equal(t, http.StatusOK, status, body)
	require.Empty(t, slips())
	_, page = v.get(path + "/light")
	require.NotContains(t, page, "Slip 4 is no slip")
	require.Contains(t, page, "1 slip left out")
	status, body = v.post(path+"/do", "do", "remove", "what", "no-slip", "name", "front")
	require.Equal(t, http.StatusOK, status, body)
	require.Len(t, slips(), 1)
}

// A printed slip that is marked where it was not found is read there, shown and used, and can be taken away again; one that was found can
// be put elsewhere. Corners where there is none are refused with a hint, and nothing is changed.
func TestASlipIsGivenByItsCorners(t *testing.T) {
	v := paired(t)
	path := v.deskWithSlip()
	at := v.draft(path).Photos["front"].SlipsAt[0]
	o, err := imageio.ParseOutline(at)
	require.NoError(t, err)
	wrong := "10,10 90,10 90,90 10,90"
	status, body := v.post(path+"/do", "do", "printed", "photo", "front", "corners", wrong)
	require.Equal(t, http.StatusUnprocessableEntity, status)
	require.Contains(t, body, "No printed slip can be read there.")
	require.Contains(t, body, "Put each corner on an outer corner of the dark frame")
	require.Empty(t, v.draft(path).Piece.Photos[0].SlipCorners)

	status, body = v.post(path+"/do", "do", "no-slip", "photo", "front", "outline", at)
	require.Equal(t, http.StatusOK, status, body)
	require.Empty(t, v.slipsRead(path))
	off := o.Mapped(func(p imageio.Point) imageio.Point { return imageio.Point{X: p.X + 3, Y: p.Y - 3} }).String()
	var answer fitAnswer
	status, body = v.post(path+"/fit", "photo", "front", "what", "slip", "outline", off)
	require.Equal(t, http.StatusOK, status)
	require.NoError(t, json.Unmarshal([]byte(body), &answer))
	require.Equal(t, "This is slip 4.", answer.Says)
	status, body = v.post(path+"/do", "do", "printed", "photo", "front", "corners", off)
	require.Equal(t, http.StatusOK, status, body)
	require.Contains(t, body, "Slip 4 is no slip")
	require.Equal(t, []slip.Design{{Number: 4, Set: 1}}, v.slipsRead(path))
	given := v.draft(path).Piece.Photos[0].SlipCorners
	require.Len(t, given, 1)

	status, body = v.post(path+"/do", "do", "printed", "photo", "front", "from", given[0], "corners", at)
	require.Equal(t, http.StatusOK, status, body)
	require.Len(t, v.draft(path).Piece.Photos[0].SlipCorners, 1, "moved, not added")
	status, body = v.post(path+"/do", "do", "printed", "photo", "front", "corners", off)
	require.Equal(t, http.StatusOK, status, body)
	require.Len(t, v.draft(path).Piece.Photos[0].SlipCorners, 1, "marked once more")
	status, body = v.post(path+"/do", "do", "no-slip", "photo", "front", "outline", v.draft(path).Piece.Photos[0].SlipCorners[0])
	require.Equal(t, http.StatusOK, status, body)
	require.Empty(t, v.slipsRead(path))
	status, _ = v.post(path+"/do", "do", "undo")
	require.Equal(t, http.StatusOK, status)
	require.Len(t, v.slipsRead(path), 1)
}

// TestSlipsAreDraggedOnThePhoto pulls a corner of a printed slip off its frame and back, keeps it, says that it is none, and marks it anew:
// by touch, by mouse and by keys.
func TestSlipsAreDraggedOnThePhoto(t *testing.T) {
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	b.choose("Choose", "front.jpg", shotWithSlip().JPEG)
	b.until(`!!document.querySelector("#screen[data-screen=woods] .stage image")`)
	b.open(b.piece() + "/light")
	b.until(`document.querySelectorAll(".handle").length === 4`)
	b.fits("light")
	b.lookAt("a slip's handles")
	b.open(b.piece() + "/light")
	b.until(`document.querySelectorAll(".handle").length === 4`)
	slipAt := `[...document.querySelectorAll("[data-fit=slip]")].map((s) => s.dataset.outline).join()`
	was := js[string](b, slipAt)
	js[bool](b, `document.querySelector("[data-fit=slip]").dispatchEvent(new KeyboardEvent("keydown", {key: "Enter"})), true`)
	b.until(`document.activeElement.matches(".handle")`)
	ring := js[spotOnScreen](b, `(() => { const r = document.querySelector(".handle .ring").getBoundingClientRect(); `+
		`return {X: r.x + r.width / 2, Y: r.y + r.height / 2} })()`)
	const off = 45 // pixels of the screen, up: no other ring lies there
	away := spotOnScreen{ring.X, ring.Y - off}
	b.pull(ring, away)
	b.tells("No printed slip can be read there.")
	b.pull(away, ring)
	b.tells("This is slip 4.")
	b.keys(kb.ArrowRight)
	b.tells("This is slip 4.")
	for _, step := range []struct {
		kind input.DispatchMouseEventType
		by   float64
	}{{"mousePressed", 0}, {"mouseMoved", off}, {"mouseReleased", off}} {
		_, err := chromedp.Call(b.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{
			Type: step.kind, X: ring.X, Y: ring.Y - step.by, Button: "left", ClickCount: 1})
		require.NoError(t, err)
	}
	b.tells("No printed slip can be read there.")
	b.pull(away, ring)
	b.tells("This is slip 4.")
	b.tap(button(".foot", "The slip is there"))
	b.until(`!document.querySelector("[aria-busy]") && document.querySelector(".foot .main[data-go-on]")?.checkVisibility()`)
	requireNear(t, was, js[string](b, slipAt), 3)

	b.tap(`document.querySelector("#printed > summary")`)
	b.tap(button("#printed", "Slip 4 is no slip"))
	b.until(`!document.querySelector("[data-fit=slip]")`)
	b.tap(`document.querySelector("#printed > summary")`)
	b.tap(button("#printed", "Mark its corners"))
	b.until(`document.querySelector("dialog.draw .photo-svg circle") && document.querySelector("dialog.draw .photo-svg").clientWidth > 0`)
	b.shot("a slip is marked")
	js[bool](b, `(() => { const i = document.querySelector(".draw-says input"); i.value = `+strconv.Quote(was)+`; `+
		`i.dispatchEvent(new Event("change")); return true })()`)
	b.until(`document.querySelector(".draw-says p").textContent === "This is slip 4."`)
	b.tap(button("dialog.draw", "Done"))
	b.tap(button("#printed", "Read this slip"))
	b.until(`!document.querySelector("[aria-busy]") && !!document.querySelector("[data-fit=slip]")`)
	requireNear(t, was, js[string](b, slipAt), 3)
	b.quiet()
}

// tells waits until the hint of a photo begins so.
func (b *browser) tells(text string) {
	b.t.Helper()
	b.until(`document.querySelector(".tell").textContent.startsWith(` + strconv.Quote(text) + `)`)
}

// requireNear requires corners that lie no further from others than so many pixels.
func requireNear(t *testing.T, want, got string, pixels float64) {
	t.Helper()
	w, err := piece.ParseSlipCorners(want)
	require.NoError(t, err)
	g, err := piece.ParseSlipCorners(got)
	require.NoError(t, err)
	for i := range w {
		require.InDelta(t, w[i].X, g[i].X, pixels)
		require.InDelta(t, w[i].Y, g[i].Y, pixels)
	}
}
