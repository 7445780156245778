package web

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// mortal is a browser on a server that is killed and started again, at the same address.
type mortal struct {
	*browser
	log    string
	server *exec.Cmd
}

func newMortal(t *testing.T) *mortal {
	if runtime.GOOS == "windows" {
		t.Skip("processes are not killed like this on Windows")
	}
	path := chromium(t)
	m := &mortal{log: filepath.Join(t.TempDir(), "log.db")}
	var base, code string
	m.server, base, code = childServer(t, m.log, "")
	t.Cleanup(m.kill)
	m.browser = openBrowser(t, path, strings.TrimPrefix(base, "http://"), 390, 844)
	m.pair(code)
	return m
}

func (m *mortal) kill() {
	_ = m.server.Process.Kill()
	_ = m.server.Wait()
}

func (m *mortal) start() {
	m.t.Helper()
	m.server, _, _ = childServer(m.t.(*testing.T), m.log, m.host)
}

// says is what a screen says, all of it, but for times that go on, and when a plan was made, which is said of one from the log alone.
func (m *mortal) says() string {
	m.t.Helper()
	return js[string](m.browser, `[document.querySelector("#screen").dataset.screen, document.querySelector(".bar").innerText,
		...[...document.querySelectorAll("main *")].filter((e) => !e.closest(".clock, #times, noscript, .sub .note") && !e.children.length)
			.map((e) => e.textContent.trim()),
		...[...document.querySelectorAll("main input:not([type=file]):not([type=hidden]), main select")].map((e) => e.name + "=" + e.value),
		...[...document.querySelectorAll(".rungs rect, ul.pair rect")].map((e) => e.getAttribute("fill"))].join("\n")`)
}

// step presses something while the server is dead, and then, when it lives again, the one button that goes on. Before, the server is
// killed, and what it shows when it lives again is what it showed.
func (m *mortal) step(name, again string, press func(), done string) {
	m.t.Helper()
	before := m.says()
	m.kill()
	m.start()
	m.do(chromedp.Reload())
	m.until(`document.readyState === "complete" && !!document.querySelector("#screen[data-screen]")`)
	m.until(`[...document.querySelectorAll("main img")].every((i) => i.loading === "lazy" || i.complete && i.naturalWidth > 0)`)
	require.Equal(m.t, before, m.says(), "before %s", name)
	m.kill()
	press()
	m.until(fmt.Sprintf(`[document.getElementById("says"), document.querySelector(".tell")].some((e) => e?.textContent.includes(%q))`, again))
	m.start()
	if again != tapAgain {
		m.tap(`document.querySelector("#says button")`)
	} else {
		press()
	}
	m.until(done)
	m.until(`!document.querySelector("[aria-busy]") && document.getElementById("says").textContent === ""`)
}

const tapAgain = "Tap again"

// TestKilledAtEveryStep kills the server before every step of the job, and while nobody answers lets the step be asked for: the page says
// so, and when the server lives again nothing is lost and one tap goes on.
func TestKilledAtEveryStep(t *testing.T) {
	t.Parallel()
	m := newMortal(t)
	m.begin("music cabinet")
	m.screen("photos")
	press := func(element string) func() { return func() { m.tap(element) } }
	const again, send = "No connection", "did not arrive"
	on := func(screen string) string {
		return fmt.Sprintf(`document.querySelector("#screen")?.dataset.screen === %q`, screen)
	}

	m.step("the photo", send, func() { m.choose("Choose", "front.jpg", drawnCabinet().JPEG) },
		on("woods")+` && !!document.querySelector("svg.tapped image")`)
	for i, wood := range []string{bench.Frame, bench.Panel} {
		m.step(wood, tapAgain, func() { m.tapPhoto(wood) }, `!!document.querySelector("#name-it:not([hidden]) .patch svg")`)
		// What was tapped and not named is not kept: a tap says it again.
		m.kill()
		m.tap(button(".foot", "That is it"))
		m.until(`document.getElementById("says").textContent.includes("No connection")`)
		m.start()
		m.tap(`document.querySelector("#says button")`)
		m.until(fmt.Sprintf(`document.querySelectorAll(".stage text").length === %d`, i+1))
	}
	m.step("where to", again, press(link(".foot", "Next: where to")), on("goal"))
	m.step("meeting", again, press(button(".foot", "Make them meet")), on("shelf"))
	m.step("a coating", again, press(link(".foot", "Add a coating")), on("coating"))
	m.fill("#coating [name=name]", "nut-brown wash")
	m.fill("#coating [name=chip-colour]", "#5a4030")
	m.step("what is typed", again, press(button(".foot", "Put it on the shelf")), on("shelf"))
	m.step("the answer", again, press(button(".foot", "See the answer")), on("answer")+` && !!document.querySelector(".ladder")`)
	m.step("the bench", again, press(`document.querySelector(".foot a[href=bench]")`), on("bench"))
	m.step("a coat", again, press(button(".foot", "Coat 1 is on")),
		`document.querySelector("main").textContent.includes("The last coat went on")`)
	m.step("a look", send, func() {
		text := "Photograph it"
		if js[bool](m.browser, `[...document.querySelectorAll("label.file")].some((l) => l.textContent.trim() === "Look")`) {
			text = "Look"
		}
		m.choose(text, "after.jpg", append(slices.Clone(drawnCabinet().JPEG), 0)) // what stands behind a picture makes it another file
	}, `!!document.querySelector("form#looked") && !!document.querySelector("svg.tapped image")`)
	m.taken("looked")
	m.kill()
	m.tap(button(".foot", "That is it"))
	m.until(`document.getElementById("says").textContent.includes("No connection")`)
	m.start()
	m.tap(`document.querySelector("#says button")`)
	m.until(`!document.querySelector("form#looked") && document.querySelector("#screen").dataset.screen === "bench"`)
	require.Contains(t, js[string](m.browser, `document.querySelector("main").textContent`), "measured")
}
