package web

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// TestASiteAnswersInBetween has the demo drawn, which takes long: other pages are answered meanwhile.
func TestASiteAnswersInBetween(t *testing.T) {
	h := hostSite(t, "")
	b := h.visit(t, "", 8*time.Minute)
	order, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`(async () => {
		const order = [];
		fetch("/demo", {method: "POST"}).then(() => order.push("demo"));
		for (let i = 0; i < 2; i++) { await (await fetch("/help")).text(); order.push("help"); }
		return order.join();
	})()`, awaited, b.onPage))
	require.NoError(t, err)
	require.Equal(t, "help,help", order)
}

// TestAPlanIsCancelledOnASite cancels a plan on its way by the page's own button, and then has one made: that one alone is kept.
func TestAPlanIsCancelledOnASite(t *testing.T) {
	inTheLongRun(t)
	h := hostSite(t, "")
	b := h.visit(t, "", 8*time.Minute)
	b.begin("a chest")
	b.choose("Choose", "front.jpg", drawnCabinet().JPEG)
	b.screen("woods")
	steps := func(fields string) {
		_, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`(async () => {
			const to = location.pathname.split("/").slice(0, 3).join("/") + "/do";
			for (const fields of [`+fields+`]) await fetch(to, {method: "POST", body: new URLSearchParams(fields)});
			return true;
		})()`, awaited, b.onPage))
		require.NoError(t, err)
	}
	steps(fmt.Sprintf(`{do: "area", name: "frame", outline: %q, photo: "front", surface: "sealed"},
		{do: "coating", name: "wash", kind: "wash", "chip-colour": "#5a4030"}, {do: "target", "target-colour": "40, 14, 20"}`,
		drawnCabinet().Area(bench.Frame).Outline))
	b.openInside(b.piece() + "/shelf")
	js[bool](b, `(new MutationObserver((_, o) => {
		const cancel = [...document.querySelectorAll("#says button")].find((b) => b.textContent === "Cancel");
		if (cancel) { o.disconnect(); setTimeout(() => cancel.click(), 150); }
	}).observe(document.querySelector("#says"), {childList: true}), true)`)
	b.tap(button(".foot", "See the answer"))
	b.until(`document.querySelector("#says").textContent.includes("Cancelled.")`)
	steps(`{do: "target", "target-colour": "41, 14, 20"}, {do: "plan"}`)
	runs, err := b.takeOut("").RunsOf(t.Context(), "a chest", "plan", 10)
	require.NoError(t, err)
	require.Len(t, runs, 1)
	require.Contains(t, string(runs[0].Request), `"lab":[41,14,20]`)
}
