package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/workshop"
)

var scratch string // folder of all tests together

// childVariable makes this binary the program itself, to be killed.
const childVariable = "HUEWRIGHT_TEST_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(childVariable) != "" {
		os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	dir, err := os.MkdirTemp("", "huewright-test")
	if err != nil {
		panic(err)
	}
	scratch = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// tried is the hard cabinet in a folder of its own, as "demo --hard --out" leaves it.
var tried = sync.OnceValue(func() string {
	out := filepath.Join(scratch, "try")
	if code := run(context.Background(), []string{"demo", "--hard", "--out", out}, nil, &bytes.Buffer{}, os.Stderr); code != 0 {
		panic("demo --out failed")
	}
	return out
})

var drawn = sync.OnceValue(bench.HardPiece)

func huewright(args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = run(context.Background(), args, strings.NewReader(""), &out, &errs)
	return code, out.String(), errs.String()
}

func front() string { return filepath.Join(tried(), demoPhoto) }

func area(name string) string { return name + "=" + drawn().Area(name).Outline.String() }

func corners(t *testing.T) string {
	piece, err := workshop.ReadPiece(workshop.Disk{Dir: tried()}, demoPiece)
	require.NoError(t, err)
	return piece.Photos[0].Corners
}

// parsed requires that args succeed with nothing but JSON on stdout, and returns it.
func parsed(t *testing.T, args ...string) map[string]any {
	t.Helper()
	code, stdout, stderr := huewright(args...)
	require.Zero(t, code, stderr)
	require.Empty(t, stderr)
	var v map[string]any
	require.NoError(t, json.Unmarshal([]byte(stdout), &v))
	require.EqualValues(t, 2, v["version"])
	return v
}

func requireKeys(t *testing.T, v any, keys ...string) map[string]any {
	t.Helper()
	m, ok := v.(map[string]any)
	require.True(t, ok)
	for _, k := range keys {
		require.Contains(t, m, k)
	}
	return m
}

func TestMeasureJSON(t *testing.T) {
	v := parsed(t, "measure", front(), "--corners", corners(t), "--area", area(bench.Frame), "--area", area(bench.Panel), "--json")
	require.Equal(t, front(), v["photo"])
	cal := requireKeys(t, v["calibration"], "reference", "fit_delta_e", "loo_delta_e", "loo_p95", "patches", "warnings")
	require.Equal(t, "chart", cal["reference"])
	require.Len(t, cal["patches"], 24)
	areas := v["areas"].([]any)
	require.Len(t, areas, 2)
	frame := requireKeys(t, areas[0], "name", "lab", "spread", "plus_minus", "pixels", "dropped", "warnings")
	require.Equal(t, bench.Frame, frame["name"])
	require.Len(t, frame["lab"], 3)
	require.Len(t, frame["spread"], 3)
	requireKeys(t, frame["dropped"], "glare", "gaps")
	require.NotNil(t, frame["warnings"], "a list, if an empty one")
}

func TestMeasureJSONWithoutReference(t *testing.T) {
	v := parsed(t, "measure", front(), "--area", area(bench.Frame), "--reference=none", "--json")
	cal := requireKeys(t, v["calibration"], "reference", "fit_delta_e", "loo_delta_e", "loo_p95", "patches")
	require.Equal(t, "none", cal["reference"])
	require.Nil(t, cal["fit_delta_e"])
	require.NotEmpty(t, cal["warnings"])
}

func TestCompareJSON(t *testing.T) {
	differences := []string{"delta_e_2000", "delta_e_76", "delta_e_94", "delta_e_cmc", "words"}
	requireKeys(t, parsed(t, "compare", "44.1,14.2,19.8", "46,13.1,21.2", "--json"), differences...)
	v := parsed(t, "compare", front(), "--area", area(bench.Frame), "--area", area(bench.Panel), "--target", bench.Panel, "--json")
	areas := v["areas"].([]any)
	require.Len(t, areas, 2)
	for _, a := range areas {
		requireKeys(t, a, append(differences, "name", "lab", "plus_minus")...)
	}
}

// A published pair: number 17 of Sharma, Wu, Dalal (2005), table 1.
func TestCompareGivesThePublishedDifference(t *testing.T) {
	v := parsed(t, "compare", "50,2.5,0", "73,25,-18", "--json")
	require.InDelta(t, 27.1492, v["delta_e_2000"], 1e-4)
}

func TestPlanJSON(t *testing.T) {
	v := parsed(t, "plan", filepath.Join(tried(), demoPiece), "--json")
	areas := v["areas"].([]any)
	require.Len(t, areas, 3)
	for _, a := range areas {
		m := requireKeys(t, a, "name", "start", "coats", "path", "delta_e_before", "delta_e_after", "reachable", "why")
		for _, c := range m["coats"].([]any) {
			requireKeys(t, c, "coating", "count")
		}
		path := m["path"].([]any)
		for i, s := range path {
			step := requireKeys(t, s, "coats", "lab", "delta_e")
			require.EqualValues(t, i, step["coats"])
		}
		require.Equal(t, m["delta_e_before"], path[0].(map[string]any)["delta_e"])
		require.Equal(t, m["delta_e_after"], path[len(path)-1].(map[string]any)["delta_e"])
		require.Equal(t, m["reachable"] == false, m["why"] != "")
	}
}

// The demo persuades in twenty lines: coats, before and after, how sure, what is true, what next. The hard one says what stands in the way.
func TestDemo(t *testing.T) {
	for _, c := range []struct{ args, says []string }{
		{[]string{"demo"}, []string{"red-brown glaze (undiluted)", "then 1 coat of nut-brown wash", "frame and panel ",
			"Stop and take a photo after coat",
			"no two areas would end more than", "huewright demo --hard"}},
		{[]string{"demo", "--hard"}, []string{"music cabinet: nut-brown wash, 1 part paint to 4 parts water", "frame and target ",
			"The frame cannot come to this target with what is on the shelf.", "A coating that makes it", "no area would end more than"}},
	} {
		code, stdout, stderr := huewright(c.args...)
		require.Zero(t, code, stderr)
		require.Empty(t, stderr)
		for _, s := range c.says {
			require.Contains(t, strings.Join(strings.Fields(stdout), " "), strings.TrimSpace(s))
		}
		require.NotContains(t, stdout, "\x1b", "no colours into a pipe")
		require.LessOrEqual(t, strings.Count(stdout, "\n"), 20, "it fits a screen")
	}
}

// With --out the demo keeps what it was made from and what it shows; its piece file can be planned, with the plan that it told.
func TestDemoKeepsItsPictures(t *testing.T) {
	out := filepath.Join(t.TempDir(), "try")
	told := parsed(t, "demo", "--out", out, "--json")
	for _, name := range []string{demoBoth, demoStrip} {
		file, err := os.Open(filepath.Join(out, name))
		require.NoError(t, err)
		size, _, err := image.DecodeConfig(file)
		require.NoError(t, err)
		require.NoError(t, file.Close())
		require.Greater(t, size.Width, 800, name)
	}
	again := parsed(t, "plan", filepath.Join(out, demoPiece), "--json")
	require.Equal(t, told["plan"], any(again))
}

func TestDemoDoesNotWriteOverWork(t *testing.T) {
	code, _, stderr := huewright("demo", "--out", tried())
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "is there already")
}

func TestStrictTellsRelativeFiguresByItsExitCode(t *testing.T) {
	code, stdout, stderr := huewright("measure", front(), "--area", area(bench.Frame), "--reference=none", "--strict")
	require.Equal(t, exitRelative, code)
	require.Contains(t, stdout, bench.Frame, "the result is written all the same")
	require.Contains(t, stderr, "tells the true colours")
	code, _, _ = huewright("measure", front(), "--corners", corners(t), "--area", area(bench.Frame), "--strict")
	require.Equal(t, exitDone, code)
}

func TestEveryCommandTellsItsExitCodes(t *testing.T) {
	for _, command := range []string{"demo", "measure", "compare", "plan", "check"} {
		code, stdout, _ := huewright(command, "--help")
		require.Zero(t, code)
		require.Contains(t, stdout, "Exit codes:\n  0    done")
		require.Contains(t, stdout, "Examples:")
	}
}

// The piece file in the help of plan must be one that plan takes.
func TestHelpShowsAWholePieceFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bench.toml")
	require.NoError(t, os.WriteFile(path, []byte(pieceExample), 0o600))
	piece, err := workshop.ReadPiece(workshop.Disk{}, path)
	require.NoError(t, err)
	require.Equal(t, "hall bench", piece.Name)
	require.Len(t, piece.Coatings[0].Tests, 1)
}

// README's sessions run in the folder that "demo --out" makes, as they stand there.
func TestREADMESessions(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	t.Chdir(tried())
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(t.TempDir(), "log.db"))
	session := strings.NewReplacer("\\\n", " ").Replace(string(text))
	ran := 0
	for _, line := range strings.Split(session, "\n") {
		command, ok := strings.CutPrefix(line, "    huewright ")
		if !ok {
			continue
		}
		code, stderr := asItStands(command)
		require.Zerof(t, code, "%s\n%s", line, stderr)
		ran++
	}
	require.GreaterOrEqual(t, ran, 5)
}

// asItStands runs a command line as a document has it. The pages answer until they are ended, which is soon.
func asItStands(line string) (code int, stderr string) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	if strings.HasPrefix(line, "serve") {
		line += " --no-open"
		time.AfterFunc(300*time.Millisecond, stop)
	}
	var out, errs bytes.Buffer
	code = run(ctx, wordsOf(line), strings.NewReader(""), &out, &errs)
	return code, errs.String()
}

// wordsOf splits a command line at spaces outside quotes.
func wordsOf(line string) []string {
	var out []string
	for i, part := range strings.Split(line, `"`) {
		if quoted := i%2 == 1; quoted {
			out = append(out, part)
		} else {
			out = append(out, strings.Fields(part)...)
		}
	}
	return out
}

func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	file := func(name, content string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(content), 0o600))
		return path
	}
	whole, err := os.ReadFile(front())
	require.NoError(t, err)
	var blank bytes.Buffer
	require.NoError(t, png.Encode(&blank, image.NewGray(image.Rect(0, 0, 80, 80))))
	var dot bytes.Buffer
	speck := image.NewRGBA(image.Rect(0, 0, 1, 1))
	speck.Set(0, 0, color.White)
	require.NoError(t, png.Encode(&dot, speck))

	good := "--area=frame=10,10,100,100"
	for name, c := range map[string]struct {
		code int
		says string
		args []string
	}{
		"missing file":         {3, "no such file", []string{"measure", filepath.Join(dir, "none.jpg"), good}},
		"empty file":           {3, "empty", []string{"measure", file("empty.jpg", ""), good}},
		"text named .jpg":      {3, "text", []string{"measure", file("text.jpg", "not a photo at all"), good}},
		"truncated JPEG":       {3, "", []string{"measure", file("cut.jpg", string(whole[:len(whole)/2])), good}},
		"1×1 picture":          {3, "1 pixel", []string{"measure", file("dot.png", dot.String()), "--area=frame=0,0,1,1"}},
		"folder":               {3, "folder", []string{"measure", dir, good}},
		"outline outside":      {2, "outside the photo", []string{"measure", front(), "--area=frame=1500,1100,300,300"}},
		"outline crosses":      {2, "cross", []string{"measure", front(), "--area=frame=10,10 60,60 60,10 10,60"}},
		"outline not a number": {2, "NaN", []string{"measure", front(), "--area=frame=NaN,10,60,60"}},
		"negative size":        {2, "−60 wide", []string{"measure", front(), "--area=frame=10,10,-60,60"}},
		"area without a name":  {2, "no name", []string{"measure", front(), "--area=10,10,60,60"}},
		"no area":              {2, "no area", []string{"measure", front()}},
		"three corners":        {2, "4 corners; here are 3", []string{"measure", front(), good, "--corners=1,1 2,2 3,3"}},
		"corner not a number":  {2, "NaN", []string{"measure", front(), good, "--corners=NaN,1 2,2 3,3 4,4"}},
		"corners outside":      {2, "outside", []string{"measure", front(), good, "--corners=1,1 5000,1 5000,900 1,900"}},
		"corners cross":        {2, "rectangle", []string{"measure", front(), good, "--corners=50,199 407,423 400,190 58,432"}},
		"corners on no chart": {2, "do not lie on the colour chart",
			[]string{"measure", front(), good, "--corners=600,200 900,200 900,400 600,400"}},
		"chart that is not there": {
			3, "No colour chart was found", []string{"measure", file("plain.png", blank.String()), "--area=a=4,4,60,60", "--reference=chart"},
		},
		"point on no chart":     {3, "No colour chart was found at 1200,900", []string{"measure", front(), good, "--chart-at=1200,900"}},
		"point not a point":     {2, `"12" is not a place`, []string{"measure", front(), good, "--chart-at=12"}},
		"overlay over a photo":  {2, "already", []string{"measure", front(), good, "--overlay=" + front()}},
		"unknown reference":     {2, `"reference" cannot be "card"`, []string{"measure", front(), good, "--reference=card"}},
		"grey not a number":     {2, "lightness", []string{"measure", front(), good, "--grey=1,1,50,50", "--grey-lightness=NaN"}},
		"unknown flag":          {2, "no flag --surface", []string{"measure", front(), "--surface=sealed"}},
		"unknown command":       {2, `no command "weigh"`, []string{"weigh"}},
		"no photo":              {2, "No photo", []string{"measure"}},
		"Lab not a number":      {2, "NaN", []string{"compare", "NaN,0,0", "50,0,0"}},
		"Lab of two figures":    {2, "has 3 numbers; here are 2", []string{"compare", "50,0", "50,0,0"}},
		"target unknown":        {2, `There is no area "lid"`, []string{"compare", front(), good, "--target=lid"}},
		"no target":             {2, "no target", []string{"compare", front(), good}},
		"missing piece file":    {2, "no such file", []string{"plan", filepath.Join(dir, "none.toml")}},
		"unknown key":           {2, `piece.toml:1:1: There is no key "colour" here`, []string{"plan", file("piece.toml", "colour = 3\n")}},
		"empty piece":           {2, "file is empty", []string{"plan", file("nothing.toml", "")}},
		"photo as piece":        {2, "The piece has no areas yet", []string{"plan", front()}},
		"demo with an argument": {2, "needs none", []string{"demo", "cabinet"}},
	} {
		t.Run(name, func(t *testing.T) {
			before := names(t, dir)
			code, stdout, stderr := huewright(c.args...)
			require.Equal(t, c.code, code, stderr)
			require.Empty(t, stdout, "nothing half-written")
			require.True(t, strings.HasPrefix(stderr, "huewright: "), stderr)
			require.Contains(t, stderr, c.says)
			require.Contains(t, stderr, "\n  hint: ")
			require.Equal(t, before, names(t, dir), "nothing left behind")
		})
	}
}

func names(t *testing.T, dir string) []string {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

// The chart is found without its corners, and the overlay shows where.
func TestMeasureFindsTheChartAndShowsIt(t *testing.T) {
	overlay := filepath.Join(t.TempDir(), "where.png")
	v := parsed(t, "measure", front(), "--area", area(bench.Frame), "--json", "--overlay", overlay)
	cal := requireKeys(t, v["calibration"], "reference", "corners", "found")
	require.Equal(t, "chart", cal["reference"])
	require.Equal(t, true, cal["found"])
	require.Len(t, cal["corners"], 4)
	file, err := os.Open(overlay)
	require.NoError(t, err)
	defer file.Close()
	shown, err := png.Decode(file)
	require.NoError(t, err)
	require.Greater(t, shown.Bounds().Dx(), 1600, "the photo and its coordinates")
}

// A photo is drawn with its grid where nothing is to be measured yet, and without a chart.
func TestOverlayAlone(t *testing.T) {
	grid := filepath.Join(t.TempDir(), "grid.jpg")
	require.Contains(t, done(t, "measure", front(), "--reference", "none", "--overlay", grid), grid)
	require.FileExists(t, grid)
	code, _, stderr := huewright("measure", front(), "--overlay", grid)
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "--overwrite")
	require.Contains(t, done(t, "measure", front(), "--overlay", grid, "--overwrite", "--json"), `"areas": []`)
	require.Contains(t, done(t, "compare", front(), "--area", area(bench.Frame), "--target", "50,10,20", "--reference=none",
		"--overlay", grid, "--overwrite"), "frame")
	code, _, stderr = huewright("measure", front(), "--overlay", front(), "--overwrite")
	require.Equal(t, exitWrongUse, code, "the photo itself is never written over")
	require.NotContains(t, stderr, "--overwrite")
}

// The answers that are the command line's own are JSON too.
func TestOwnAnswersAsJSON(t *testing.T) {
	v := parsed(t, "version", "--json")
	require.NotEmpty(t, v["program"])
	require.NotEmpty(t, v["libraries"])
	out := filepath.Join(t.TempDir(), "card.pdf")
	v = parsed(t, "card", filepath.Join(tried(), demoPiece), "--out", out, "--json")
	require.Equal(t, out, v["file"])
	require.Equal(t, "A4", v["paper"])
	v = parsed(t, "demo", "--json")
	require.Len(t, v["truth"], 3)
	require.Len(t, requireKeys(t, v["plan"], "version", "areas")["areas"], 3)
	for _, a := range v["truth"].([]any) {
		requireKeys(t, a, "area", "colour_off", "planned_count", "predicted_end", "true_end")
	}
}

// What the log says after it has written comes as JSON too.
func TestTheLogAnswersAsJSON(t *testing.T) {
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(t.TempDir(), "log.db"))
	for _, args := range [][]string{
		{"log", "begin", "hall bench"}, {"log", "area", "hall bench", "seat", "--wood", "oak"}, {"log", "note", "hall bench", "it wobbles"},
		{"log", "coat", "hall bench", "seat", "--coating", "brown wash"}, {"log", "undo", "2"}, {"log", "photo", "hall bench", front()},
		{"log", "check"}, {"log", "backup", filepath.Join(t.TempDir(), "copy.db")},
	} {
		said := parsed(t, append(args, "--json")...)["said"].([]any)
		require.NotEmpty(t, said, "%v", args)
		requireKeys(t, said[0], "code", "says")
	}
	said := parsed(t, "log", "note", "hall bench", "again", "--json")["said"].([]any)
	require.EqualValues(t, 6, requireKeys(t, requireKeys(t, said[0], "values")["values"], "number", "piece")["number"])
	label := parsed(t, "log", "label", "hall bench", "seat", "--json")
	require.Equal(t, "oak", label["wood"])
	require.Len(t, label["coats"], 1)
}

// Every command that answers something does so as JSON too; those that do not are named here, with the reason.
func TestEveryAnswerIsJSONToo(t *testing.T) {
	without := map[string]string{
		"huewright":            "shows its help",
		"huewright log":        "shows its help",
		"huewright help":       "is text for people",
		"huewright completion": "is a script for a shell",
		"huewright serve":      "answers in a browser",
		"huewright log export": "is JSON by itself",
	}
	for _, cmd := range pages() {
		if !cmd.Runnable() {
			continue
		}
		_, excused := without[cmd.CommandPath()]
		require.Equal(t, !excused, cmd.Flags().Lookup("json") != nil, "%s", cmd.CommandPath())
	}
}
