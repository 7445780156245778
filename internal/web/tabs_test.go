package web

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// A phone shows a page while another changes the piece: what was typed is merged, a conflict is shown and chosen about, and
// what was typed and not sent does not come back over what is newer.
func TestTwoPhonesAndOnePiece(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	b.addPhoto()
	path := b.piece()
	require.Equal(t, "ok", post(b, path+"/do", "do=coating&name=wash&kind=wash&chip-colour=%235a4030"))
	b.open(path + "/shelf")
	const clear = `form[data-keep="clear"]`
	js[bool](b, fmt.Sprintf(`document.querySelector(%q).closest("details").open = true`, clear))
	b.fill(clear+" [name=name]", "varnish")
	require.Equal(t, "ok", post(b, path+"/do", "do=coating&name=glaze&kind=glaze&chip-colour=%23402010"), "elsewhere")
	b.tap(button(clear, "Set it"))
	b.until(`document.querySelectorAll("article.coating").length === 2`)
	require.Equal(t, "varnish", js[string](b, fmt.Sprintf(`document.querySelector(%q).value`, clear+" [name=name]")))

	require.Equal(t, "ok", post(b, path+"/do", "do=clear&name=lacquer&coats=2"), "elsewhere")
	js[bool](b, fmt.Sprintf(`document.querySelector(%q).closest("details").open = true`, clear))
	b.fill(clear+" [name=name]", "shellac")
	b.tap(button(clear, "Set it"))
	b.until(`document.querySelector("h1").textContent === "Changed twice"`)
	require.Contains(t, js[string](b, "document.body.innerText"), "now lacquer; you sent shellac")
	b.shot("conflict")
	b.tap(button("main", "Keep mine"))
	b.until(`document.readyState === "complete" && document.querySelector("h1").textContent === "On the shelf"`)
	d, err := b.s.drafts.load(path[len("/piece/"):])
	require.NoError(t, err)
	require.Equal(t, "shellac", d.Piece.Clear.Name)

	js[bool](b, fmt.Sprintf(`document.querySelector(%q).closest("details").open = true`, clear))
	b.fill(clear+" [name=name]", "oil")
	require.Equal(t, "ok", post(b, path+"/do", "do=clear&name=wax&coats=2"), "elsewhere")
	b.open(path + "/shelf")
	b.until(`document.getElementById("says").innerText.includes("was typed here and not sent")`)
	require.Equal(t, "wax", js[string](b, fmt.Sprintf(`document.querySelector(%q).value`, clear+" [name=name]")))
	require.Equal(t, "2", js[string](b, fmt.Sprintf(`document.querySelector(%q).value`, clear+" [name=coats]")))
}

// other is another page of the same browser program: of another phone, paired by a code, or where code is "" another tab of the same.
func (b *browser) other(code string) *browser {
	b.t.Helper()
	var options []chromedp.ContextOption
	if code != "" {
		options = append(options, chromedp.WithNewBrowserContext())
	}
	o := tabOf(b.ctx, b.t, b.host, 390, 844, options...)
	o.s = b.s
	if code != "" {
		o.pair(code)
	}
	return o
}

// Two phones, and two tabs of one of them, work on one piece, each from a page that knows nothing of what the others have done since: woods
// tapped on each are all kept, an undoing of what is no longer the last step is refused in plain words, and what a page shows when it is
// asked again is what there is.
func TestTwoTabsAndTwoPhones(t *testing.T) {
	t.Parallel()
	one := newBrowser(t, 390, 844)
	one.begin("cabinet")
	one.addPhoto()
	path := one.piece()
	tab, phone := one.other(""), one.other(one.s.NewCode())
	for _, b := range []*browser{tab, phone} {
		b.open(path + "/woods")
		b.screen("woods")
	}
	name := func(b *browser, area, as string) {
		b.tapPhoto(area)
		b.taken("name-it")
		b.fill("#name-it [name=name]", as)
		b.tap(button(".foot", "That is it"))
		b.until(fmt.Sprintf(`[...document.querySelectorAll(".stage text")].some((x) => x.textContent === %q)`, as))
	}
	name(one, bench.Frame, "frame")
	name(phone, bench.Panel, "panel")
	require.Len(t, must(one.s.drafts.load(path[len("/piece/"):])).Piece.Areas, 2, "the other phone's wood is kept too")
	require.Equal(t, 2, js[int](phone, `document.querySelectorAll(".stage text").length`))

	// The first page still shows the frame as the last step.
	one.tap(`document.querySelector('.bar button[aria-label^="Undo"]')`)
	one.until(`document.body.innerText.includes("changed elsewhere since this page was shown")`)
	require.Len(t, must(one.s.drafts.load(path[len("/piece/"):])).Piece.Areas, 2, "nothing was undone")
	one.open(path + "/woods")
	one.until(`document.querySelectorAll(".stage text").length === 2`)

	// The tab knows of no wood yet. What it names anew is no second frame, and the panel stays.
	tab.tapPhoto(bench.Frame)
	tab.taken("name-it")
	tab.fill("#name-it [name=name]", "frame")
	tab.tap(button(".foot", "That is it"))
	tab.until(`document.querySelector("h1").textContent === "Changed twice" || document.querySelectorAll(".stage text").length === 2`)
	if js[bool](tab, `document.querySelector("h1").textContent === "Changed twice"`) {
		require.Contains(t, js[string](tab, "document.body.innerText"), "frame")
		tab.noSideways()
		tab.shot("changed-twice")
		tab.tap(button("main", "Keep mine"))
		tab.until(`document.querySelectorAll(".stage text").length === 2`)
	}
	require.Len(t, must(one.s.drafts.load(path[len("/piece/"):])).Piece.Areas, 2)
	phone.quiet()
}
