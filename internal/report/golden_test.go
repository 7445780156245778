package report_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"encoding/xml"
	"flag"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/draw"
	_ "image/jpeg"
	_ "image/png"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/clientpage"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

var update = flag.Bool("update", false, "write the goldens anew; look at each as its reader would")

// A golden is what a writer writes. Its name ends in what it is: txt, json, svg, ics, html or pdf, the last
// two without what a later encoder of pictures or streams may write otherwise.
type golden struct {
	name  string
	write func(w io.Writer) error
}

var goldens = slices.Concat(readingGoldens, repairGoldens, planGoldens, logGoldens, cardGoldens)

var readingGoldens = []golden{
	{"measure-chart.txt", func(w io.Writer) error { return report.Style{}.MeasureText(w, cabinetMeasured(byChart())) }},
	{"measure-grey.txt", func(w io.Writer) error { return report.Style{}.MeasureText(w, cabinetMeasured(byGreyCard())) }},
	{"measure-paper.txt", func(w io.Writer) error { return report.Style{}.MeasureText(w, cabinetMeasured(byPaper())) }},
	{"measure-none.txt", func(w io.Writer) error { return report.Style{}.MeasureText(w, cabinetMeasured(byNothing())) }},
	{"measure-chart.json", func(w io.Writer) error { return report.MeasureJSON(w, cabinetMeasured(byChart())) }},
	{"measure-grey.json", func(w io.Writer) error { return report.MeasureJSON(w, cabinetMeasured(byGreyCard())) }},
	{"measure-none.json", func(w io.Writer) error { return report.MeasureJSON(w, cabinetMeasured(byNothing())) }},
	{"piece-begun.toml", func(w io.Writer) error { return report.Style{}.PieceFile(w, begun(), cabinetMeasured(byChart()).Areas) }},
	{"piece-planned.toml", func(w io.Writer) error { return report.Style{}.PieceFile(w, plannedByFlags(), nil) }},
	{"carry.txt", func(w io.Writer) error { return report.Style{}.CarryText(w, carriedBySlips()) }},
	{"carry-full.txt", func(w io.Writer) error { return report.Style{Full: true}.CarryText(w, carriedBySlips()) }},
	{"carry-proposed.txt", func(w io.Writer) error { return report.Style{}.CarryText(w, proposedOutlines()) }},
	{"carry-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.CarryText(w, carriedBySlips()) }},
	{"carry.json", func(w io.Writer) error { return report.CarryJSON(w, carriedBySlips()) }},
	{"measure-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.MeasureText(w, cabinetMeasured(byChart())) }},
	{"several-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.SeveralText(w, cabinetSeveral()) }},
	{"compare-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.CompareText(w, cabinetCompared("panel")) }},
	{"several.txt", func(w io.Writer) error { return report.Style{}.SeveralText(w, cabinetSeveral()) }},
	{"several.json", func(w io.Writer) error { return report.SeveralJSON(w, cabinetSeveral()) }},
	{"difference.txt", func(w io.Writer) error {
		return report.Style{}.DifferenceText(w, oldBoard, ash, difference(oldBoard, ash, 0))
	}},
	{"difference.json", func(w io.Writer) error {
		return report.DifferenceJSON(w, oldBoard, ash, difference(oldBoard, ash, 0))
	}},
	{"compare-panel.txt", func(w io.Writer) error { return report.Style{}.CompareText(w, cabinetCompared("panel")) }},
	{"compare-panel.json", func(w io.Writer) error { return report.CompareJSON(w, cabinetCompared("panel")) }},
	{"compare-typed.txt", func(w io.Writer) error { return report.Style{}.CompareText(w, cabinetCompared("")) }},
	{"compare-typed.json", func(w io.Writer) error { return report.CompareJSON(w, cabinetCompared("")) }},
}

var repairGoldens = []golden{
	{"check.txt", func(w io.Writer) error { return report.Style{}.CheckText(w, cornerChecked()) }},
	{"check.json", func(w io.Writer) error { return report.CheckJSON(w, cornerChecked()) }},
	{"check-piece-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.CheckPieceText(w, cabinetChecked()) }},
	{"check-piece.txt", func(w io.Writer) error { return report.Style{}.CheckPieceText(w, cabinetChecked()) }},
	{"check-piece.json", func(w io.Writer) error { return report.CheckPieceJSON(w, cabinetChecked()) }},
}

var planGoldens = []golden{
	{"plan-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.PlanText(w, cabinetPlan()) }},
	{"plan-target.txt", func(w io.Writer) error { return report.Style{}.PlanText(w, cabinetPlan()) }},
	{"plan-target.json", func(w io.Writer) error { return report.PlanJSON(w, cabinetPlan()) }},
	{"plan-meet.txt", func(w io.Writer) error { return report.Style{}.PlanText(w, cabinetMeeting()) }},
	{"plan-meet.json", func(w io.Writer) error { return report.PlanJSON(w, cabinetMeeting()) }},
	{"plan-what-if.txt", func(w io.Writer) error { return report.Style{}.PlanText(w, cabinetWhatIf()) }},
	{"plan-what-if-narrow.txt", func(w io.Writer) error { return report.Style{Width: 44}.PlanText(w, cabinetWhatIf()) }},
	{"plan-what-if.json", func(w io.Writer) error { return report.PlanJSON(w, cabinetWhatIf()) }},
	{"demo.txt", func(w io.Writer) error {
		return report.Style{}.DemoText(w, &report.Demo{Plan: cabinetMeeting(), Off: 2.4, Next: "Next: look."})
	}},
	{"demo-hard.txt", func(w io.Writer) error {
		return report.Style{}.DemoText(w, &report.Demo{Plan: cabinetPlan(), Hard: true, Off: 6.1, Next: "Next: look."})
	}},
	{"plan-page.txt", pageWords},
	{"chart-frame.svg", charted(cabinetPlan(), 0)},
	{"chart-panel.svg", charted(cabinetPlan(), 1)},
	{"chart-meet.svg", charted(cabinetMeeting(), 0)},
	{"timetable.txt", func(w io.Writer) error { return report.Style{}.TimetableText(w, cabinetSchedule()) }},
	{"timetable-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.TimetableText(w, cabinetSchedule()) }},
	{"timetable.json", func(w io.Writer) error { return report.TimetableJSON(w, cabinetSchedule()) }},
	{"timetable-empty.txt", func(w io.Writer) error { return report.Style{}.TimetableText(w, nothingToLay()) }},
	{"timetable-empty.json", func(w io.Writer) error { return report.TimetableJSON(w, nothingToLay()) }},
	{"coats.ics", func(w io.Writer) error {
		return report.Style{}.Calendar(w, "music cabinet", cabinetSchedule(), morning)
	}},
	{"preview.txt", func(w io.Writer) error { return report.Style{}.PreviewText(w, previewFiles()) }},
	{"preview-what-if.txt", func(w io.Writer) error { return report.Style{}.PreviewText(w, previewAsAsked()) }},
	{"preview.json", func(w io.Writer) error { return report.PreviewJSON(w, previewFiles()) }},
}

var logGoldens = []golden{
	{"history.txt", func(w io.Writer) error { return report.Style{}.HistoryText(w, cabinetHistory(), cet) }},
	{"history-quiet.txt", func(w io.Writer) error { return report.Style{Quiet: true}.HistoryText(w, cabinetHistory(), cet) }},
	{"history-full.txt", func(w io.Writer) error { return report.Style{Full: true}.HistoryText(w, cabinetHistory(), cet) }},
	{"history.json", func(w io.Writer) error { return report.HistoryJSON(w, cabinetHistory()) }},
	{"pieces.txt", func(w io.Writer) error { return report.Style{}.PiecesText(w, loggedPieces(), cet) }},
	{"pieces-none.txt", func(w io.Writer) error { return report.Style{}.PiecesText(w, nil, cet) }},
	{"pieces.json", func(w io.Writer) error { return report.PiecesJSON(w, loggedPieces()) }},
	{"found-near.txt", func(w io.Writer) error { return report.Style{}.FoundText(w, near(), true, cet) }},
	{"found.txt", func(w io.Writer) error { return report.Style{}.FoundText(w, found(), false, cet) }},
	{"found-none.txt", func(w io.Writer) error { return report.Style{}.FoundText(w, nil, false, cet) }},
	{"found-near.json", func(w io.Writer) error { return report.FoundJSON(w, near(), true) }},
	{"found.json", func(w io.Writer) error { return report.FoundJSON(w, found(), false) }},
	{"found-none.json", func(w io.Writer) error { return report.FoundJSON(w, nil, false) }},
	{"scores.txt", func(w io.Writer) error { return report.Style{}.ScoresText(w, scores()) }},
	{"scores-none.txt", func(w io.Writer) error { return report.Style{}.ScoresText(w, &record.Scores{}) }},
	{"scores.json", func(w io.Writer) error { return report.ScoresJSON(w, scores()) }},
	{"label.txt", func(w io.Writer) error { return report.Style{}.LabelText(w, board(), cet) }},
	{"label.json", func(w io.Writer) error { return report.LabelJSON(w, board()) }},
	{"label-bare.txt", func(w io.Writer) error { return report.Style{}.LabelText(w, bareBoard(), cet) }},
	{"drift.txt", func(w io.Writer) error { return report.Style{}.DriftText(w, drift(true), cet) }},
	{"drift-within.txt", func(w io.Writer) error { return report.Style{}.DriftText(w, drift(false), cet) }},
	{"drift-one.txt", func(w io.Writer) error { return report.Style{}.DriftText(w, bareDrift(), cet) }},
	{"drift.json", func(w io.Writer) error { return report.DriftJSON(w, drift(true)) }},
	{"drift.svg", func(w io.Writer) error { return picture.Drift(w, drift(true), cet) }},
	{"drift-one.svg", func(w io.Writer) error { return picture.Drift(w, bareDrift(), cet) }},
}

var cardGoldens = []golden{
	{"card.html", func(w io.Writer) error { return card.HTML(w, cabinetCard(), "A4") }},
	{"card.pdf", func(w io.Writer) error { return card.PDF(w, cabinetCard(), "A4") }},
	{"card-meet.html", func(w io.Writer) error { return card.HTML(w, meetingCard(), "Letter") }},
	{"card-meet.pdf", func(w io.Writer) error { return card.PDF(w, meetingCard(), "Letter") }},
	{"client.html", func(w io.Writer) error { return clientpage.HTML(w, clientOf(cabinetPlan(), cabinetSchedule()), "A4") }},
	{"client.pdf", func(w io.Writer) error { return clientpage.PDF(w, clientOf(cabinetPlan(), cabinetSchedule()), "A4") }},
	{"client-meet.pdf", func(w io.Writer) error {
		return clientpage.PDF(w, clientOf(cabinetMeeting(), nothingToLay()), "Letter")
	}},
}

func charted(r *workshop.PlanResult, area int) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, picture.Plan(r, &r.Areas[area]))
		return err
	}
}

// pageWords are the sentences that pages take one by one.
func pageWords(w io.Writer) error {
	r, m := cabinetPlan(), cabinetMeeting()
	unforeseen := workshop.AreaPlan{Laid: framePast()[:1]}
	unforeseen.Laid[0].Prediction.PlusMinus = 0
	said := slices.Concat(report.Style{}.ChoiceWords(r), report.Style{}.ChoiceWords(m), report.Style{}.LaidWords(&r.Areas[0]),
		report.Style{}.LaidWords(&unforeseen))
	said = append(said, report.Style{}.PairWords(m, &m.Choices[0].Pairs[0]), report.Style{}.PairWords(r, &r.Choices[0].Pairs[1]),
		report.Style{}.TestWords(&r.Tests[0]), report.Style{}.LabWords(ash, 2.04), ash.Hex())
	all := workshop.Earlier{Pieces: []string{"hall bench"}, Results: 1, Alike: 1, SameBatch: 1}
	for _, e := range append(slices.Clone(r.Earlier), all) {
		said = append(said, report.Style{}.EarlierWords(&e))
	}
	for _, h := range []struct {
		habit  learn.Bias
		pieces int
	}{
		{}, {learn.Bias{}, 1}, {learn.Bias{Film: 0.12, Wider: 1.3}, 2}, {learn.Bias{Film: -0.12, Wider: 1.3}, 2},
		{learn.Bias{Film: 0.12}, 2}, {learn.Bias{Film: -0.12}, 2}, {learn.Bias{Wider: 1.3}, 2},
	} {
		said = append(said, report.Style{}.BiasWords(h.habit.Film, h.habit.Wider, h.pieces))
	}
	_, err := io.WriteString(w, strings.Join(said, "\n")+"\n")
	return err
}

func nothingToLay() *workshop.Schedule {
	return &workshop.Schedule{Bench: schedule.Bench{Start: morning}}
}

// previewFiles are pictures of the cabinet as it is, as it would look, and of the frame after each coat.
func previewFiles() report.Preview {
	shown := []workshop.Shown{
		{Area: "frame", Coats: washes(3, 2, 4), Lab: ashWashed[2], Clear: true, Corrects: 0.42}, {Area: "panel", Lab: sapele},
	}
	return report.Preview{Plan: cabinetPlan(), Files: []report.PreviewFile{
		{Path: "front-before.png", Photo: "front", What: "before", Width: 1600, Height: 1200},
		{Path: "front-after.png", Photo: "front", What: "after", Width: 1600, Height: 1200, Shown: shown},
		{Path: "frame-strip.png", Area: "frame", What: "strip", Width: 880, Height: 410, Shown: []workshop.Shown{
			{Area: "frame", Coats: append(washes(3, 3, 3), plan.CoatCount{Coating: "amber glaze", Count: 1}), Lab: ashWashed[2]},
		}},
	}}
}

// previewAsAsked are the same pictures of coats that somebody named.
func previewAsAsked() report.Preview {
	v := previewFiles()
	v.Plan = cabinetWhatIf().AsAsked()
	return v
}

// drawn is a cabinet in plain colours: a frame round two panels.
func drawn(frame, panel colour.Lab) image.Image {
	img := image.NewNRGBA(image.Rect(0, 0, 240, 180))
	fill := func(r image.Rectangle, c colour.Lab) {
		p := c.LinearRGB().Encode()
		draw.Draw(img, r, image.NewUniform(color.NRGBA{p.R, p.G, p.B, 0xff}), image.Point{}, draw.Src)
	}
	fill(img.Rect, colour.Lab{L: 60})
	fill(image.Rect(40, 20, 200, 160), frame)
	fill(image.Rect(55, 35, 115, 145), panel)
	fill(image.Rect(125, 35, 185, 145), panel)
	return img
}

func cabinetCard() *card.Sheet {
	c, err := report.NewCard(context.Background(), nil, cabinetPlan(), cabinetSchedule(), `huewright log show "music cabinet"`, morning)
	if err != nil {
		panic(err)
	}
	c.Photos = []image.Image{drawn(ash, sapele), drawn(ashWashed[2], sapele)}
	return c
}

func meetingCard() *card.Sheet {
	c, err := report.NewCard(context.Background(), nil, cabinetMeeting(), nothingToLay(), "", morning)
	if err != nil {
		panic(err)
	}
	return c
}

func clientOf(r *workshop.PlanResult, s *workshop.Schedule) *clientpage.Page {
	r.Piece.Hours = 7.5
	p, err := report.NewClientPage(context.Background(), nil, r, s, morning)
	if err != nil {
		panic(err)
	}
	p.Photos = []clientpage.Photo{{Now: clientpage.Picture{Image: drawn(ash, sapele), Text: "Now"},
		Day: clientpage.Picture{Image: drawn(ashWashed[2], sapele), Text: "Then"}}}
	return p
}

var dataURL = regexp.MustCompile(`data:image/(jpeg|png);base64,([A-Za-z0-9+/=&#;]+)`)

// withoutPictures has the size of each picture instead of its bytes: encoders may change.
func withoutPictures(t *testing.T, page string) string {
	return dataURL.ReplaceAllStringFunc(page, func(url string) string {
		m := dataURL.FindStringSubmatch(html.UnescapeString(url))
		data, err := base64.StdEncoding.DecodeString(m[2])
		require.NoError(t, err)
		config, kind, err := image.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, m[1], kind)
		return fmt.Sprintf("(%s, %d × %d)", kind, config.Width, config.Height)
	})
}

// TestGoldens holds every writer against what it wrote when somebody last looked at it.
func TestGoldens(t *testing.T) {
	for _, g := range goldens {
		path := filepath.Join("testdata", g.name+".golden")
		t.Run(g.name, func(t *testing.T) {
			var out bytes.Buffer
			require.NoError(t, g.write(&out))
			got := out.String()
			switch filepath.Ext(g.name) {
			case ".json":
				require.True(t, json.Valid(out.Bytes()))
			case ".svg":
				wellFormed(t, got)
			case ".html":
				got = withoutPictures(t, got)
			case ".pdf":
				got = drawnOn(t, out.Bytes())
			}
			holds(t, path, got)
		})
	}
}

// A golden that nothing writes tells nothing.
func TestGoldensAreWritten(t *testing.T) {
	written := []string{}
	for _, g := range goldens {
		written = append(written, "testdata/"+g.name+".golden")
	}
	for name := range pictures() {
		written = append(written, "testdata/"+name+".png.golden")
	}
	there, err := filepath.Glob("testdata/*.golden")
	require.NoError(t, err)
	require.ElementsMatch(t, written, there)
}

func holds(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "make it with -update, and look at it")
	require.Equal(t, string(want), got)
}

func wellFormed(t *testing.T, text string) {
	t.Helper()
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		_, err := d.Token()
		if err == io.EOF {
			return
		}
		require.NoError(t, err)
	}
}
