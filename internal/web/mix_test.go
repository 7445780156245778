package web

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/piece"
)

// A mix of two coatings of the shelf is put on it with its parts, by weight or by volume, and what is wrong with one is told.
func TestAMixIsMadeOfTheShelf(t *testing.T) {
	v := paired(t)
	p := v.deskWithPhoto()
	does := func(want int, fields ...string) string {
		t.Helper()
		status, body := v.post(p+"/do", append([]string{"do"}, fields...)...)
		require.Equal(t, want, status, body)
		return body
	}
	frame := drawnCabinet().Area(bench.Frame).Outline.String()
	does(200, "area", "name", "frame", "photo", "front", "outline", frame, "surface", "sealed")
	does(200, "target", "target-colour", "#6b4a34")
	_, body := v.get(p + "/coating")
	require.NotContains(t, body, "It is a mix", "there is nothing to mix yet")
	for name, chip := range map[string]string{"umber": "#4a3428", "ochre": "#b07c3c", "white": "#f2f0ea"} {
		does(200, "coating", "name", name, "kind", "paint", "chip-colour", chip)
	}
	_, body = v.get(p + "/shelf")
	require.Contains(t, body, "Mix some of these")
	_, body = v.get(p + "/coating?mix=yes")
	require.Contains(t, body, `<details class="sub" open><summary>It is a mix`)

	body = does(200, "coating", "name", "my brown", "kind", "paint", "part-1", "umber", "parts-1", "2", "part-2", "ochre",
		"part-3", "white", "parts-3", "0,5", "weighed", "yes", "chip-colour", "#7a5a40")
	require.Contains(t, body, "Mixed of 2 parts umber, 1 part ochre and 0.5 parts white, by weight.")
	k := v.draft(p).coating("my brown")
	require.Equal(t, []piece.MixPart{{Coating: "umber", Parts: 2}, {Coating: "ochre", Parts: 1}, {Coating: "white", Parts: 0.5}}, k.Parts)
	require.True(t, k.Weighed)
	require.False(t, k.Earlier)
	does(200, "plan")
	_, body = v.get(p + "/coating?coating=my+brown")
	require.Contains(t, body, `<option value="umber" selected>`)
	require.Contains(t, body, `<option value="yes" selected>by weight`)
	require.NotContains(t, body, `<option value="my brown"`, "a mix is no part of itself")

	body = does(422, "remove", "what", "coating", "name", "umber")
	require.Contains(t, body, "umber is part of the mix my brown.")
	for _, wrong := range [][]string{
		{"part-1", "umber"},
		{"part-1", "umber", "part-2", "umber"},
		{"part-1", "umber", "part-2", "my brown"},
		{"part-1", "umber", "part-2", "green"},
		{"part-1", "umber", "part-2", "ochre", "parts-2", "-1"},
		{"part-1", "umber", "part-2", "ochre", "parts-2", "some"},
	} {
		does(422, append([]string{"coating", "name", "another", "kind", "paint"}, wrong...)...)
		require.Nil(t, v.draft(p).coating("another"))
	}
	body = does(200, "coating", "name", "my brown", "kind", "paint", "chip-colour", "#5a4030") // it comes from a tin after all
	require.NotContains(t, body, "Mixed of")
	does(200, "remove", "what", "coating", "name", "umber")
}

// TestAMixByTouch makes a mix with the steppers.
func TestAMixByTouch(t *testing.T) {
	t.Parallel()
	b := newBrowser(t, 390, 844)
	b.begin("desk")
	piece := b.piece()
	for _, form := range []string{"name=umber&chip-colour=%234a3428", "name=ochre&chip-colour=%23b07c3c"} {
		require.Equal(t, "ok", post(b, piece+"/do", "do=coating&kind=paint&"+form), form)
	}
	b.open(piece + "/shelf")
	b.tap(link("main", "Mix some of these"))
	b.screen("coating")
	b.fill("input[name=name]", "my brown")
	b.fill("select[name=part-1]", "umber")
	b.fill("select[name=part-2]", "ochre")
	b.fill("input[name=chip-colour]", "#6a4a30")
	b.tap(`[...document.querySelectorAll("details .steps button")].find((s) => s.ariaLabel === "More")`)
	b.lookAt("mix")
	b.fits("mix")
	b.tap(button(".foot", "Put it on the shelf"))
	b.screen("shelf")
	b.until(`document.querySelector("main").textContent.includes("Mixed of 2 parts umber and 1 part ochre, by volume.")`)
	b.lookAt("mixed")
	b.quiet()
}
