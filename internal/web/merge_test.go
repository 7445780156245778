package web

import (
	"fmt"
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/piece"
)

// asks is where the forms of a page that is shown now ask for steps.
func (v *visitor) asks(path string) string {
	v.t.Helper()
	_, body := v.get(path + "/room")
	m := regexp.MustCompile(`action="(/piece/[a-z0-9]+/do\?seen=[0-9a-f]+)&amp;from=room"`).FindStringSubmatch(body)
	require.NotNil(v.t, m, body)
	return m[1]
}

// draft is the draft of a page.
func (v *visitor) draft(path string) *pieceDraft {
	v.t.Helper()
	d, err := v.s.drafts.load(strings.TrimPrefix(path, "/piece/"))
	require.NoError(v.t, err)
	return d
}

// A page that is older than the last step changes what its person changed, and nothing else.
func TestAnOldPageKeepsWhatANewerOneSet(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	status, body := v.post(p+"/do", "do", "piece", "year", "1930", "tolerance", "2", "units", "metric")
	require.Equal(t, http.StatusOK, status, body)
	old := v.asks(p)
	for _, step := range [][]string{
		{"do", "piece", "year", "1930", "tolerance", "3", "units", "us"},
		{"do", "coating", "name", "wash", "kind", "wash", "chip-colour", "#5a4030"},
		{"do", "room", "temperature", "70"},
	} {
		status, body = v.post(v.asks(p), step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	status, body = v.post(old, "do", "piece", "year", "1910", "tolerance", "2", "units", "metric", "old-finish", "yes")
	require.Equal(t, http.StatusOK, status, body)
	d := v.draft(p)
	require.Equal(t, 1910, d.Piece.YearMade)
	require.True(t, *d.Piece.OldFinish)
	require.Equal(t, 3.0, d.Piece.Tolerance, "set elsewhere")
	require.Equal(t, "us", d.Piece.Units, "set elsewhere")
	require.Len(t, d.Piece.Coatings, 1)
	require.Equal(t, 70.0, *d.Piece.Room.Temperature)
	status, body = v.post(old, "do", "coating", "name", "glaze", "kind", "glaze", "chip-colour", "#3a2010")
	require.Equal(t, http.StatusOK, status, body)
	require.Equal(t, "wash", v.draft(p).Piece.Coatings[0].Name)
	require.Equal(t, "glaze", v.draft(p).Piece.Coatings[1].Name)
}

// What two pages set differently is shown, and whoever was later chooses.
func TestATrueConflictIsShown(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	old := v.asks(p)
	status, body := v.post(v.asks(p), "do", "piece", "year", "1930", "units", "metric")
	require.Equal(t, http.StatusOK, status, body)
	mine := []string{"do", "piece", "year", "1910", "units", "metric", "tolerance", "1.5"}
	status, body = v.post(old, mine...)
	require.Equal(t, http.StatusConflict, status)
	require.Contains(t, body, "<strong>made about</strong>: now 1930; you sent 1910")
	require.NotContains(t, body, "tolerance</strong>")
	require.Equal(t, 1930, v.draft(p).Piece.YearMade)
	require.Zero(t, v.draft(p).Piece.Tolerance, "all of a form or nothing")

	again := html.UnescapeString(regexp.MustCompile(`action="([^"]*over=[^"]*)"`).FindStringSubmatch(body)[1])
	status, body = v.post(v.asks(p), "do", "piece", "year", "1890", "units", "metric")
	require.Equal(t, http.StatusOK, status, body)
	status, body = v.post(again, mine...)
	require.Equal(t, http.StatusConflict, status, "it was changed once more: that is shown first")
	require.Contains(t, body, "now 1890")
	again = html.UnescapeString(regexp.MustCompile(`action="([^"]*over=[^"]*)"`).FindStringSubmatch(body)[1])
	status, body = v.post(again, mine...)
	require.Equal(t, http.StatusOK, status, body)
	require.Equal(t, 1910, v.draft(p).Piece.YearMade)
	require.Equal(t, 1.5, v.draft(p).Piece.Tolerance)

	status, body = v.post(old, "do", "undo")
	require.Equal(t, http.StatusConflict, status, "that page promised to undo something else")
	require.Contains(t, body, "changed elsewhere")
	for range 3 {
		status, body = v.post(v.asks(p), "do", "undo")
		require.Equal(t, http.StatusOK, status, body)
	}
	status, body = v.post(again, mine...)
	require.Equal(t, http.StatusOK, status, "the page that it is based on stands again: %s", body)
}

// Two pages of one age do any two of these: both are there, as if one had followed the other.
func TestStepsOfTwoPagesAreBothKept(t *testing.T) {
	whole := func() *pieceDraft {
		d := aDraft()
		d.Piece.Areas = append(d.Piece.Areas, piece.Area{Name: "y", Photo: "x", Outline: "1,1,9,9"})
		d.Piece.Coatings[0].Chip = &piece.ColourSource{Hex: "#111111"}
		d.Piece.Coatings[0].Tests = []piece.TestCoat{{Coats: 1}}
		return d
	}
	all := []url.Values{
		{"do": {"slip"}, "photo": {"x"}, "outline": {"5,5,9,9"}}, {"do": {"tie"}, "name": {"knob"}, "photo": {"x"}, "outline": {"5,5,9,9"}},
		{"do": {"area"}, "name": {"x"}, "photo": {"y"}, "outline": {"1,2,3,4"}, "wood": {"ash"}},
		{"do": {"area"}, "name": {"new"}, "photo": {"y"}, "outline": {"1,2,3,4"}}, {"do": {"remove"}, "what": {"area"}, "name": {"y"}},
		{"do": {"target"}, "target-colour": {"#504030"}}, {"do": {"coating"}, "name": {"new"}, "kind": {"wash"}, "chip-colour": {"#504030"}},
		{"do": {"test"}, "coating": {"x"}, "coats": {"2"}, "ground-colour": {"#a08060"}, "result-colour": {"#705030"}},
		{"do": {"clear"}, "name": {"varnish"}, "coats": {"3"}}, {"do": {"room"}, "temperature": {"19"}},
		{"do": {"piece"}, "year": {"1900"}, "units": {"us"}}, {"do": {"repair"}, "name": {"corner"}, "photo": {"x"}, "outline": {"3,3,9,9"}},
	}
	apply := func(d *pieceDraft, f url.Values) *pieceDraft {
		require.NoError(t, stepNamed(f.Get("do")).change(d, form{f}))
		return d
	}
	for i, first := range all {
		for k, second := range all {
			if i == k {
				continue
			}
			name := fmt.Sprint(first, " and ", second)
			merged, conflicts := mergeDrafts(whole(), apply(whole(), second), apply(whole(), first), false)
			require.Empty(t, conflicts, name)
			after := apply(apply(whole(), first), second)
			sorted := func(p *piece.Piece) {
				slices.SortFunc(p.Areas, func(a, b piece.Area) int { return strings.Compare(a.Name, b.Name) })
				slices.SortFunc(p.Coatings, func(a, b piece.Coating) int { return strings.Compare(a.Name, b.Name) })
			}
			sorted(&after.Piece)
			sorted(&merged.Piece)
			require.JSONEq(t, jsonOf(t, after.Piece), jsonOf(t, merged.Piece), name)
		}
		alone, conflicts := mergeDrafts(whole(), apply(whole(), first), whole(), false)
		require.Empty(t, conflicts)
		require.JSONEq(t, jsonOf(t, apply(whole(), first).Piece), jsonOf(t, alone.Piece))
		twice, conflicts := mergeDrafts(whole(), apply(whole(), first), apply(whole(), first), false)
		require.Empty(t, conflicts, "both did the same")
		require.JSONEq(t, jsonOf(t, apply(whole(), first).Piece), jsonOf(t, twice.Piece))
	}
}

// A colour is of one side or of the other, and a coat that both noted is not counted twice.
func TestWhatIsWholeIsNotMixed(t *testing.T) {
	base, mine, theirs := aDraft(), aDraft(), aDraft()
	for _, d := range []*pieceDraft{base, mine, theirs} {
		d.Piece.Coatings[0].Earlier = true
	}
	laid := func(colour string) []piece.LaidCoats {
		return []piece.LaidCoats{{Coating: "x", Coats: 1, After: piece.ColourSource{Hex: colour}}}
	}
	mine.Piece.Target = &piece.ColourSource{Photo: "x", Outline: "1,1,5,5"}
	theirs.Piece.Target = &piece.ColourSource{Hex: "#806040"}
	mine.Piece.Areas[0].Laid, theirs.Piece.Areas[0].Laid = laid("#504030"), laid("#504031")
	merged, conflicts := mergeDrafts(base, mine, theirs, false)
	require.Equal(t, []conflict{
		{"area x coats that are on", "1 of them", "1 of them"}, {"target", "#806040", "marked in photo x"},
	}, conflicts)
	require.Equal(t, theirs.Piece, merged.Piece)
	merged, _ = mergeDrafts(base, mine, theirs, true)
	require.Equal(t, mine.Piece.Target, merged.Piece.Target)
	require.Equal(t, mine.Piece.Areas, merged.Piece.Areas)
}

// A step that was damaged is stepped over, and that is said; what comes next stands, and the damaged file is left.
func TestADamagedStepIsSteppedOver(t *testing.T) {
	v := paired(t)
	for n, damage := range []string{"", "{", "null", `{"ID":"another1"}`, "\x00\x00\x00\x00\x00\x00"} {
		p := v.begin(fmt.Sprint("desk ", n))
		for year := range 3 {
			status, body := v.post(p+"/do", "do", "piece", "year", fmt.Sprint(1900+year))
			require.Equal(t, http.StatusOK, status, body)
		}
		id := strings.TrimPrefix(p, "/piece/")
		files, err := v.s.drafts.steps(id)
		require.NoError(t, err)
		last := files[len(files)-1]
		seen := v.asks(p)
		require.NoError(t, os.WriteFile(last, []byte(damage), 0o600))
		status, body := v.get(p)
		require.Equal(t, http.StatusOK, status, body)
		require.Contains(t, body, "can no longer be read")
		require.Equal(t, 1901, v.draft(p).Piece.YearMade)
		status, _ = v.post(seen, "do", "room", "temperature", "20")
		require.Equal(t, http.StatusConflict, status, "that page showed what is gone")
		status, body = v.post(v.asks(p), "do", "room", "temperature", "20")
		require.Equal(t, http.StatusOK, status, body)
		require.NotContains(t, body, "can no longer be read")
		require.Equal(t, 1901, v.draft(p).Piece.YearMade)
		for _, year := range []int{1901, 1900} { // past the damaged one
			require.NotEmpty(t, v.s.drafts.canUndo(id))
			status, body = v.post(v.asks(p), "do", "undo")
			require.Equal(t, http.StatusOK, status, body)
			require.Equal(t, year, v.draft(p).Piece.YearMade)
		}
		require.FileExists(t, last)
	}
}

// A piece of which nothing can be read is named, not left out, and does not hide the others.
func TestADamagedDraftIsNamed(t *testing.T) {
	v := paired(t)
	v.begin("chest")
	p := v.begin("desk")
	files, err := filepath.Glob(filepath.Join(v.s.drafts.folder, strings.TrimPrefix(p, "/piece/")+"*"))
	require.NoError(t, err)
	for _, path := range files {
		require.NoError(t, os.WriteFile(path, nil, 0o600))
	}
	status, body := v.get("/")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "chest")
	require.Contains(t, body, "One piece cannot be shown")
	status, body = v.get(p)
	require.Equal(t, http.StatusInternalServerError, status)
	require.Contains(t, body, "can no longer be read")
	_, err = os.Stat(files[0])
	require.NoError(t, err)
}

// A form that is sent as it stands changes nothing.
func TestFormsShowWhatIsSet(t *testing.T) {
	v := paired(t)
	p := v.deskWithPhoto()
	for _, step := range [][]string{
		{"do", "area", "name", "panel", "photo", "front", "surface", "bare", "wood", "ash", "size", "0.4",
			"outline", drawnCabinet().Area(bench.Panel).Outline.String()},
		{"do", "target", "target-colour", "44.5, 14, 20", "target-surface", "clear-coated"},
		{"do", "clear", "name", "varnish", "family", "oil", "coats", "3"},
		{"do", "coating", "name", "wash", "kind", "wash", "chip-colour", "#5a4030"},
		{"do", "room", "start", "2026-03-14T09:00", "temperature", "0", "humidity", "55", "indoors", "no", "children", "yes"},
		{"do", "piece", "year", "1930", "country", "uk", "old-finish", "no", "tolerance", "1.5", "units", "us"},
	} {
		status, body := v.post(p+"/do", step...)
		require.Equal(t, http.StatusOK, status, body)
	}
	before := jsonOf(t, v.draft(p).Piece)
	require.Contains(t, before, `"size_m2":0.4`)
	body := ""
	for _, screen := range []string{"outlines", "goal", "shelf", "coating", "room"} {
		_, page := v.get(p + "/" + screen)
		body += page
	}
	require.Contains(t, body, `value="4.31"`, "in square feet")
	require.Contains(t, body, "Which can or mix")
	require.Contains(t, body, ">oil (mineral spirits)</option>")
	sent := 0
	for _, text := range regexp.MustCompile(`(?s)<form .*?</form>`).FindAllString(body, -1) {
		fields := shownFields(text)
		do := fields.Get("do")
		if !slices.Contains([]string{"area", "target", "clear", "room", "piece"}, do) || do == "area" && fields.Get("name") == "" ||
			do == "target" && !fields.Has("target-surface") { // buttons that set another target
			continue
		}
		var pairs []string
		for name := range fields {
			pairs = append(pairs, name, fields.Get(name))
		}
		status, body := v.post(p+"/do", pairs...)
		require.Equal(t, http.StatusOK, status, "%s: %s", fields, body)
		require.JSONEq(t, before, jsonOf(t, v.draft(p).Piece), "%s", fields)
		sent++
	}
	require.Equal(t, 5, sent)
}

// shownFields are the fields of a form as a browser without scripts would send them.
func shownFields(form string) url.Values {
	fields := url.Values{}
	for _, m := range regexp.MustCompile(`<input [^>]*>`).FindAllString(form, -1) {
		name, value := regexp.MustCompile(`name="([^"]*)"`).FindStringSubmatch(m), regexp.MustCompile(`value="([^"]*)"`).FindStringSubmatch(m)
		if name != nil && value != nil {
			fields.Set(name[1], html.UnescapeString(value[1]))
		}
	}
	for _, m := range regexp.MustCompile(`(?s)<select name="([^"]*)".*?</select>`).FindAllStringSubmatch(form, -1) {
		options := regexp.MustCompile(`<option value="([^"]*)"([^>]*)>`).FindAllStringSubmatch(m[0], -1)
		for i, o := range options {
			if i == 0 || strings.Contains(o[2], "selected") {
				fields.Set(m[1], html.UnescapeString(o[1]))
			}
		}
	}
	return fields
}

// A long row of steps: the page that is older than all that is kept is refused, and nothing changes.
func TestAPageOlderThanWhatIsKept(t *testing.T) {
	d, err := openDrafts(t.TempDir())
	require.NoError(t, err)
	first := &pieceDraft{ID: "abcdefgh", Piece: piece.Piece{Name: "desk"}}
	require.NoError(t, d.begin(first))
	require.NotNil(t, d.at("abcdefgh", first.key))
	for n := range keptSteps + 1 {
		_, err := d.change("abcdefgh", "years", time.Unix(int64(n), 0), func(d *pieceDraft) error { d.Piece.YearMade = 1800 + n; return nil })
		require.NoError(t, err)
	}
	s := &Server{drafts: d}
	now, err := d.load("abcdefgh")
	require.NoError(t, err)
	err = s.changeSeen(now, stepRequest{id: "abcdefgh", seen: first.key}, describePiece)
	require.ErrorIs(t, err, errPageTooOld)
}

// Things may be called as the keys of a piece are: their names are not taken for those.
func TestNamesAreNotTakenForKeys(t *testing.T) {
	base, mine, theirs := aDraft(), aDraft(), aDraft()
	for _, d := range []*pieceDraft{base, mine, theirs} {
		d.Piece.Areas[0].Name = "target"
		d.Piece.Ties = []piece.Tie{{Name: "ground", In: map[string]string{"chip": "1,1,5,5"}}}
		d.Slips = map[string]string{"x": "1,1,5,5"}
	}
	mine.Piece.Areas[0].Wood, theirs.Piece.Areas[0].Surface = "ash", "bare"
	mine.Piece.Ties[0].In, theirs.Piece.Ties[0].In = map[string]string{"chip": "2,2,5,5"}, map[string]string{"chip": "3,3,5,5"}
	mine.Slips, theirs.Slips = map[string]string{"x": "2,2,5,5"}, map[string]string{"x": "3,3,5,5"}
	merged, conflicts := mergeDrafts(base, mine, theirs, false)
	require.Equal(t, "ash", merged.Piece.Areas[0].Wood)
	require.Equal(t, "bare", merged.Piece.Areas[0].Surface)
	require.Equal(t, []conflict{
		{"what several photos show: ground in photo chip", "another outline", "another outline"},
		{"slip of paper in photo x", "another outline", "another outline"},
	}, conflicts)
}
