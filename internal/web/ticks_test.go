package web

import (
	"html"
	"net/http"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var ticksOf = regexp.MustCompile(`name="step" value="([0-9a-f]+)"><input type="hidden" name="what" value="([^"]*)"><button class="tick" ` +
	`name="done" value="(yes|no)" role="checkbox" aria-checked="(true|false)"`)

// Every step of the schedule has a box of its own. What is ticked stays: for other pages, for a later program, with another room and
// another plan; it can be taken back, and undone.
func TestStepsAreTickedAndStay(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.db")
	v := restarted(t, path)
	p := plannedCabinet(t, v, "desk")
	_, body := v.get(p + "/bench")
	boxes := ticksOf.FindAllStringSubmatch(body, -1)
	require.Equal(t, strings.Count(body, `class="tick"`), len(boxes))
	require.Greater(t, len(boxes), 5)
	keys := map[string]bool{}
	for _, b := range boxes {
		require.False(t, keys[b[1]], "%s: two steps of one key", b[2])
		require.Equal(t, "false", b[4])
		keys[b[1]] = true
	}
	ticked := func(body string) (all []string) {
		for _, b := range ticksOf.FindAllStringSubmatch(body, -1) {
			require.Equal(t, b[4] == "true", b[3] == "no", "a box that is ticked asks to be cleared")
			if b[4] == "true" {
				all = append(all, b[1])
			}
		}
		return all
	}
	first, second := boxes[0], boxes[1]
	old := v.asks(p)
	for _, b := range [][]string{first, second} {
		// from one page, seen before both
		status, body := v.post(old, "do", "tick", "step", b[1], "what", html.UnescapeString(b[2]), "done", "yes")
		require.Equal(t, http.StatusOK, status, body)
	}
	_, body = v.get(p + "/bench")
	require.Equal(t, []string{first[1], second[1]}, ticked(body))
	require.Contains(t, body, "Undo: the tick at: "+second[2])

	status, _ := v.post(p+"/do", "do", "room", "temperature", "21", "start", "2027-01-04T08:00")
	require.Equal(t, http.StatusOK, status)
	_, body = v.get(p + "/bench")
	require.Equal(t, []string{first[1], second[1]}, ticked(body), "the same work at other times")
	v.end()
	v = restarted(t, path)
	_, body = v.get(p + "/bench")
	require.Equal(t, []string{first[1], second[1]}, ticked(body), "after the program has ended")

	status, body = v.post(p+"/do", "do", "tick", "step", first[1], "what", first[2], "done", "no")
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, []string{second[1]}, ticked(body))
	status, _ = v.post(p+"/do", "do", "undo")
	require.Equal(t, http.StatusOK, status)
	_, body = v.get(p + "/bench")
	require.Equal(t, []string{first[1], second[1]}, ticked(body))
}
