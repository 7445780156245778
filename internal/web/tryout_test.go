package web

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image"
	"image/jpeg"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

var update = flag.Bool("update", false, "draw the pictures of the first screen and README's anew; look at them")

// The pictures of the first screen are the program's own work on the demo's cabinet, and with the rest of that screen they weigh no more
// than a phone far from its mast can load.
func TestFirstPicturesAreOfTheDemo(t *testing.T) {
	v := paired(t)
	v.demo()
	status, body := v.post("/piece/"+demoID+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status, body)
	d, m := v.demoPlan()
	preview := workshop.NewPreview(m.photos, m.result, workshop.PreviewOptions{Width: 400, Clear: true})
	before, err := preview.Before(context.Background(), "front")
	require.NoError(t, err)
	after, _, err := preview.After(context.Background(), "front")
	require.NoError(t, err)
	firstPicture(t, "before.jpg", before)
	firstPicture(t, "after.jpg", after)
	firstLadder(t, v.s.tryout.server.planView(d, m))

	total := 0
	for _, path := range []string{
		"/static/bench.css", "/static/bench.js", "/static/tap.js", "/static/before.jpg", "/static/after.jpg",
		"/static/ladder.svg", "/static/icon.svg", "/static/manifest.webmanifest",
	} {
		status, content := v.get(path)
		require.Equal(t, http.StatusOK, status, path)
		total += len(content)
	}
	status, page := v.get("/")
	require.Equal(t, http.StatusOK, status)
	for _, name := range []string{"before.jpg", "after.jpg", "ladder.svg"} {
		require.Contains(t, page, "/static/"+name)
	}
	figure.Report(t, "bytes of the first screen", "%d of 100000", total+len(page))
	require.LessOrEqual(t, total+len(page), 100_000)
}

// The bench warns of the coat that comes next: not of what burns while a water-borne one is laid, though the piece is sealed with shellac;
// of a coating that may be anything, as of what burns. A mix is as dangerous as what is in it.
func TestTheBenchWarnsOfTheNextCoat(t *testing.T) {
	v := paired(t)
	v.demo()
	status, body := v.post("/piece/"+demoID+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status, body)
	status, page := v.get("/piece/" + demoID + "/bench")
	require.Equal(t, http.StatusOK, status)
	shown, folded, _ := strings.Cut(page, "<summary>Careful")
	require.Contains(t, shown, "<strong>Pets.</strong>")
	require.NotContains(t, shown, "<strong>Fire.</strong>")
	require.Contains(t, folded, "<strong>Fire.</strong>", "of the whole job")

	d, m := v.demoPlan()
	warns := func(family string) (keys []string) {
		for i := range m.result.Piece.Coatings {
			m.result.Piece.Coatings[i].Family = family
		}
		for _, a := range v.s.tryout.server.planView(d, m).Areas {
			keys = append(keys, a.Care.Key)
		}
		return slices.Compact(keys)
	}
	require.Equal(t, []string{"pets"}, warns("water"))
	require.Equal(t, []string{"fire"}, warns("alcohol"))
	require.Equal(t, []string{"rags"}, warns(""))
	warns("water")
	shelf := &m.result.Piece.Coatings
	*shelf = append(*shelf, piece.Coating{Name: "spirit stain", Kind: "dye", Family: "alcohol"})
	for i := range *shelf {
		if k := &(*shelf)[i]; k.Name != "spirit stain" {
			k.Parts = []piece.MixPart{{Coating: "spirit stain", Parts: 1}}
		}
	}
	for _, a := range v.s.tryout.server.planView(d, m).Areas {
		require.Equal(t, "fire", a.Care.Key, a.Name)
	}
}

// firstPicture compares a picture with the one that is built in; coders differ, pictures do not.
func firstPicture(t *testing.T, name string, drawn image.Image) {
	path := filepath.Join("static", name)
	if *update {
		var out bytes.Buffer
		require.NoError(t, jpeg.Encode(&out, drawn, &jpeg.Options{Quality: 74}))
		require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	}
	file, err := os.Open(path)
	require.NoError(t, err)
	defer func() { require.NoError(t, file.Close()) }()
	there, err := jpeg.Decode(file)
	require.NoError(t, err)
	require.Equal(t, drawn.Bounds(), there.Bounds())
	require.Equal(t, image.Rect(0, 0, 400, 300), there.Bounds(), "as the page says")
	sum, n := 0.0, 0.0
	for y := range 300 {
		for x := range 400 {
			r, g, b, _ := drawn.At(x, y).RGBA()
			r2, g2, b2, _ := there.At(x, y).RGBA()
			for _, d := range [3]float64{float64(r) - float64(r2), float64(g) - float64(g2), float64(b) - float64(b2)} {
				sum, n = sum+max(d, -d)/257, n+1
			}
		}
	}
	require.Less(t, sum/n, 5.0, "%s is %.1f levels of 255 off on average: draw it anew with -update", name, sum/n)
}

// firstLadder compares the ladders of frame and panel.
func firstLadder(t *testing.T, p *planView) {
	var svg strings.Builder
	const left = 70 // for the names
	_, _ = fmt.Fprintf(&svg, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d 82" font-family="system-ui, sans-serif" `+
		`font-size="18" fill="#fff">`, left+p.Areas[0].LadderWidth)
	for i := range p.Areas[:2] {
		_, _ = fmt.Fprintf(&svg, `<text y="%d">%s</text>`, 26+42*i, p.Areas[i].Name)
		for _, b := range p.Areas[i].Bars() {
			stroke := ""
			if b.Stop {
				stroke = ` stroke="#fff"`
			}
			_, _ = fmt.Fprintf(&svg, `<rect x="%d" y="%d" width="%d" height="36" fill="%s"%s/>`, left+b.X, 2+42*i, b.Wide, b.Hex, stroke)
		}
	}
	svg.WriteString("</svg>\n")
	require.Equal(t, 180, p.Areas[0].LadderWidth, "as the page says")
	path := filepath.Join("static", "ladder.svg")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(svg.String()), 0o644))
	}
	there, err := os.ReadFile(path)
	require.NoError(t, err)
	shape := func(s string) string { // without the colours, whose last digit is the processor's
		parts := strings.Split(s, "#")
		for i := 1; i < len(parts); i++ {
			parts[i] = strings.TrimLeft(parts[i], "0123456789abcdef")
		}
		return strings.Join(parts, "#")
	}
	require.Equal(t, shape(svg.String()), shape(string(there)), "draw it anew with -update")
}

// demo begins the demo.
func (v *visitor) demo() {
	v.t.Helper()
	status, body := v.post("/demo")
	require.Equal(v.t, http.StatusOK, status, body)
}

// demoDraft is the demo's piece as it now is.
func (v *visitor) demoDraft() *pieceDraft {
	v.t.Helper()
	d, leave, err := v.s.enterDemo(context.Background(), false)
	require.NoError(v.t, err)
	require.NotNil(v.t, d)
	defer leave()
	draft, err := d.drafts.load(demoID)
	require.NoError(v.t, err)
	return draft
}

// demoPlan is the demo's piece with its plan.
func (v *visitor) demoPlan() (*pieceDraft, *shownPlan) {
	v.t.Helper()
	draft := v.demoDraft()
	m, err := v.s.tryout.server.planned(context.Background(), draft)
	require.NoError(v.t, err)
	require.NotNil(v.t, m)
	return draft, m
}

// The demo has everything that a count needs, says on every screen and paper what it is, and leaves no trace in the log, nor when it is
// taken away.
func TestTheDemoTeachesNothing(t *testing.T) {
	v := paired(t)
	v.demo()
	draft := v.demoDraft()
	require.Len(t, draft.Piece.Areas, 3)
	require.Len(t, draft.Piece.Coatings, 2)
	require.Len(t, draft.Piece.Coatings[0].Tests, 2)
	require.NotNil(t, draft.Piece.Target)
	for _, a := range draft.Piece.Areas {
		require.Contains(t, draft.Read, a.Name)
	}
	path := "/piece/" + demoID
	status, body := v.post(path+"/do", "do", "plan")
	require.Equal(t, http.StatusOK, status, body)
	require.Contains(t, body, "ladder")
	status, body = v.post(path+"/do", "do", "on", "area", bench.Frame, "coating", "red-brown glaze")
	require.Equal(t, http.StatusOK, status, body)
	status, body = v.post(path+"/do", "do", "check", "name", "filled corner")
	require.Equal(t, http.StatusOK, status, body)
	for _, st := range screens {
		status, body := v.get(path + "/" + st.name + "?coating=nut-brown+wash")
		require.Equal(t, http.StatusOK, status, st.name)
		require.Contains(t, body, "A drawn demo. Your log learns nothing.", st.name)
		require.Contains(t, body, demoName, st.name)
	}
	for _, paper := range []string{"card", "client", "coats.ics", "log"} {
		status, body := v.get(path + "/" + paper)
		require.Equal(t, http.StatusOK, status, paper)
		require.Contains(t, body, demoName, paper)
	}
	status, body = v.get("/photo/" + draft.Piece.Photos[0].File + "?w=200")
	require.Equal(t, http.StatusOK, status, body)

	// Nothing of it is in the log.
	ctx := context.Background()
	pieces, err := v.s.log.Pieces(ctx)
	require.NoError(t, err)
	require.Empty(t, pieces)
	coatings, err := v.s.log.Coatings(ctx)
	require.NoError(t, err)
	require.Empty(t, coatings)
	own, _, err := v.s.drafts.all()
	require.NoError(t, err)
	require.Empty(t, own)
	backed, err := v.s.log.Backup(ctx, filepath.Join(t.TempDir(), "copy", "log.db"), false)
	require.NoError(t, err)
	require.Equal(t, logbook.BackedUp{}, backed)

	status, body = v.get("/")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, demoName)
	status, body = v.post("/demo/remove")
	require.Equal(t, http.StatusOK, status, body)
	require.NotContains(t, body, demoName)
	require.Contains(t, body, "Try the music cabinet")
	left, err := filepath.Glob(demoFolderOf(v.s.log.Path()) + "*")
	require.NoError(t, err)
	require.Empty(t, left)
	status, _ = v.get(path)
	require.Equal(t, http.StatusNotFound, status)
	status, _ = v.get("/photo/" + draft.Piece.Photos[0].File + "?w=200")
	require.Equal(t, http.StatusNotFound, status)
	status, body = v.post("/demo/remove") // twice does no harm
	require.Equal(t, http.StatusOK, status, body)
}

// Begun again, also from several phones at once, it is the same cabinet as it was left; another program at the same log has it too.
func TestTheDemoIsBegunOnce(t *testing.T) {
	v := paired(t)
	var both sync.WaitGroup
	for range 2 {
		both.Go(func() {
			status, body := v.post("/demo")
			if status != http.StatusOK {
				t.Errorf("%d: %s", status, body)
			}
		})
	}
	both.Wait()
	status, body := v.post("/piece/"+demoID+"/do", "do", "room", "temperature", "21")
	require.Equal(t, http.StatusOK, status, body)
	v.demo()
	require.InDelta(t, 21.0, *v.demoDraft().Piece.Room.Temperature, 0)

	other, err := New(v.s.log, Options{})
	require.NoError(t, err)
	t.Cleanup(other.tryout.end)
	d, leave, err := other.enterDemo(context.Background(), false)
	require.NoError(t, err)
	require.NotNil(t, d)
	_, err = d.drafts.load(demoID)
	leave()
	require.NoError(t, err)
	status, body = v.post("/demo/remove") // where the one takes it away, the other has none any more
	require.Equal(t, http.StatusOK, status, body)
	d, _, err = other.enterDemo(context.Background(), false)
	require.NoError(t, err)
	require.Nil(t, d)
}

// A demo that cannot be opened is begun anew.
func TestADamagedDemoIsNoLoss(t *testing.T) {
	v := paired(t)
	folder := demoFolderOf(v.s.log.Path())
	require.NoError(t, os.MkdirAll(folder, 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "log.db"), []byte("no log at all, but some text"), 0o600))
	status, body := v.get("/")
	require.Equal(t, http.StatusOK, status, body)
	v.demo()
	require.Len(t, v.demoDraft().Piece.Areas, 3)
}
