package web

import (
	"net/http"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

var (
	// foldedFigures are details under a summary that begins so; they hold no other details.
	foldedFigures = regexp.MustCompile(`(?s)<details[^>]*><summary>Figures.*?</details>`)
	figuresShown  = regexp.MustCompile(`.{0,60}(ΔE|L\*|\ba\*|\bb\*|±).{0,40}`)
)

// Differences and colours in figures stand on no screen but folded away, under Figures; the help that explains them and the card,
// which prints them under its swatches, are the only others.
func TestFiguresAreFoldedAway(t *testing.T) {
	v := paired(t)
	v.demo()
	v.demoDoes("do", "plan")
	v.demoDoes("do", "check", "name", "filled corner")
	v.demoDoes("do", "target", "target-colour", "44, 14, 20")
	v.demoDoes("do", "laid", "area", bench.Panel, "coating", "nut-brown wash", "coats", "1", "after-colour", "36, 17, 17")
	require.Len(t, v.demoDraft().Piece.Areas[1].Laid, 1)
	path := "/piece/" + demoID
	pages := []string{"/", "/log", "/log?colour=%237a5a40", "/shelf", path + "/log", path + "/client"}
	for _, st := range screens {
		pages = append(pages, path+"/"+st.name+"?coating=nut-brown+wash&area=panel")
	}
	folded := 0
	for _, page := range pages {
		status, body := v.get(page)
		require.Equal(t, http.StatusOK, status, page)
		folded += len(figuresShown.FindAllString(body, -1))
		require.Empty(t, figuresShown.FindAllString(foldedFigures.ReplaceAllString(body, ""), -1), page)
	}
	require.Greater(t, folded, 10, "they are there, folded")
}
