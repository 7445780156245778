package web

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// A phone shows a page while another changes the piece: what was typed is merged, a conflict is shown and chosen about, and
// what was typed and not sent does not come back over what is newer.
func TestTwoPhonesAndOnePiece(t *testing.T) {
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	b.addPhoto()
	path := js[string](b, `location.pathname.split("/").slice(0, 3).join("/")`)
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
	b.until(`document.querySelector("h1").textContent === "On the shelf"`)
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
