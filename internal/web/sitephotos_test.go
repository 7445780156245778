package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// A browsersPicture is what the browser decoded of a photo.
type browsersPicture struct {
	Width, Height int
	Codes         map[string][]uint8 // R, G, B at a place "x,y"
}

// browserDecodes has the site's script have a browser decode a photo, and gives the codes at places.
func browserDecodes(t *testing.T, b *browser, data []byte, kind string, places []image.Point) (p browsersPicture) {
	at := string(must(json.Marshal(places)))
	bytes := string(must(json.Marshal(data))) // base64
	text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`(async () => {
		const data = Uint8Array.from(atob(%s), (c) => c.charCodeAt(0)), p = await huewrightDecode(data, %q), codes = {};
		if (!p) return "null";
		for (const {X, Y} of %s) codes[X + "," + Y] = [...p.rows(Y, Y + 1).slice(4 * X, 4 * X + 3)];
		p.close();
		return JSON.stringify({width: p.width, height: p.height, codes});
	})()`, bytes, kind, at), awaited))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal([]byte(text), &p))
	return p
}

// TestABrowserDecodesAsFilesSay holds pictures that a browser decodes for the program to what the program's own decoder makes of the
// same files: turned once, and with the file's codes, whatever colours they stand for.
func TestABrowserDecodesAsFilesSay(t *testing.T) {
	path := chromium(t)
	script := must(os.ReadFile("../phone/site/photos.js"))
	host := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/":
			w.Header().Set("Content-Type", "text/html")
			_, _ = w.Write([]byte(`<link rel="icon" href="data:,"><script src="photos.js"></script>`))
		case "/photos.js":
			w.Header().Set("Content-Type", "text/javascript")
			_, _ = w.Write(script)
		default:
			http.NotFound(w, r)
		}
	}))
	defer host.Close()
	b := openBrowser(t, path, strings.TrimPrefix(host.URL, "http://"), 390, 844)
	b.open("/")

	worst, wood := 0.0, 0.0
	compare := func(what string, shown, ours []byte, most float64) {
		p, err := imageio.Decode(t.Context(), ours, "four.avif")
		require.NoError(t, err)
		var places []image.Point
		for i := range 4 {
			places = append(places, image.Pt(p.Width*(1+2*(i%2))/4, p.Height*(1+2*(i/2))/4))
		}
		got := browserDecodes(t, b, shown, "image/avif", places)
		require.Equal(t, [2]int{p.Width, p.Height}, [2]int{got.Width, got.Height}, what)
		for _, at := range places {
			c := got.Codes[fmt.Sprintf("%d,%d", at.X, at.Y)]
			d := colour.DeltaE2000(p.Linear(at.X, at.Y).Lab(), colour.RGB8{R: c[0], G: c[1], B: c[2]}.Linear().Lab())
			require.Less(t, d, most, "%s at %v", what, at)
			worst = max(worst, d)
			if ours := p.Linear(at.X, at.Y).Encode(); ours.R > ours.G && ours.G > ours.B {
				wood = max(wood, d)
			}
		}
	}
	turned := must(os.ReadFile(fixture.Own("testdata", "avif/four-fields-turned.avif")))
	for turns := range byte(4) {
		for mirror := range byte(2) {
			turned[bytes.Index(turned, []byte("irot"))+4] = turns
			turned[bytes.Index(turned, []byte("imir"))+4] = mirror
			compare(fmt.Sprintf("%d turns, mirror %d", turns, mirror), turned, turned, 0.5)
		}
	}
	// Codes of ten bits in narrow range for Display P3 stay what they are: ours are of the same codes, said to be sRGB's.
	wide := must(os.ReadFile(fixture.Own("testdata", "avif/four-fields-10-bit-p3-narrow.avif")))
	plain := bytes.Clone(wide)
	plain[bytes.Index(plain, []byte("nclx"))+5] = 1 // BT.709
	// Chromium takes blue of narrow range for 5 % weaker than it is, which shows in a strong blue alone.
	compare("Display P3", wide, plain, 1)
	require.Less(t, wood, 0.5)
	figure.Report(t, "AVIF by a browser", "%.2f, woods %.2f", worst, wood)

	// What it cannot decode is none, not an error, and neither is a browser that applies profiles where it is told not to.
	require.Zero(t, browserDecodes(t, b, []byte("no picture"), "image/heic", nil))
	js[bool](b, `(() => {
		const open = createImageBitmap;
		window.createImageBitmap = (blob, o) => open(blob, {...o, colorSpaceConversion: "default"});
		return true;
	})()`)
	b.do(chromedp.Evaluate[chromedp.Void](string(script)))
	require.Zero(t, browserDecodes(t, b, wide, "image/avif", nil))
	b.quiet()
}

// TestPhotosOnASite sends an AVIF, which the browser decodes for the program, and a HEIC, which this browser cannot.
func TestPhotosOnASite(t *testing.T) {
	h := hostSite(t, "")
	b := h.visit(t, "", 8*time.Minute)
	avif := must(os.ReadFile(fixture.Own("testdata", "avif/four-fields-turned.avif")))
	heic := must(os.ReadFile(must(filepath.Glob(fixture.Own("testdata", "heic/*.heic")))[0]))
	text, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](fmt.Sprintf(`(async (avif, heic) => {
		const send = (file, name, type) => {
			const sent = new FormData();
			sent.append("photo", new File([Uint8Array.from(atob(file), (c) => c.charCodeAt(0))], name, {type}));
			return fetch("/begin", {method: "POST", body: sent});
		};
		const refused = await (await send(heic, "front.heic", "image/heic")).text();
		const page = new DOMParser().parseFromString(await (await send(avif, "front.avif", "image/avif")).text(), "text/html");
		const shown = page.querySelector("[href^='/photo/'], [src^='/photo/']");
		if (!shown) return JSON.stringify({refused: page.body.textContent});
		const photo = await createImageBitmap(await (await fetch(shown.getAttribute("href") ?? shown.getAttribute("src"))).blob());
		const on = new OffscreenCanvas(photo.width, photo.height).getContext("2d");
		on.drawImage(photo, 0, 0);
		const codes = [0, 1, 2, 3].map((i) =>
			[...on.getImageData(photo.width * (1 + 2 * (i %% 2)) / 4, photo.height * (1 + 2 * (i >> 1)) / 4, 1, 1).data].slice(0, 3));
		return JSON.stringify({refused, codes, width: photo.width, height: photo.height});
	})(%s, %s)`, must(json.Marshal(avif)), must(json.Marshal(heic))), awaited, b.onPage))
	require.NoError(t, err)
	var got struct {
		Refused       string
		Codes         [][3]uint8
		Width, Height int
	}
	require.NoError(t, json.Unmarshal([]byte(text), &got))
	require.Contains(t, got.Refused, "HEIC cannot be opened here")
	p, err := imageio.Decode(t.Context(), avif, "four.avif")
	require.NoError(t, err)
	require.Equal(t, [2]int{p.Width, p.Height}, [2]int{got.Width, got.Height})
	for i, c := range got.Codes { // as the pages show it: as a JPEG
		want := p.Linear(p.Width*(1+2*(i%2))/4, p.Height*(1+2*(i/2))/4).Lab()
		require.Less(t, colour.DeltaE2000(want, colour.RGB8{R: c[0], G: c[1], B: c[2]}.Linear().Lab()), 2.0, "field %d", i)
	}
}
