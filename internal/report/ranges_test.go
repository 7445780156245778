package report_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/figure"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/picture"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// noFiles has none but a piece file.
type noFiles struct{ piece string }

func (f noFiles) ReadFile(path string) ([]byte, error) {
	if path != "piece.toml" {
		return nil, fs.ErrNotExist
	}
	return []byte(f.piece), nil
}

func (noFiles) OpenPhoto(context.Context, string) (*imageio.Photo, error) { return nil, fs.ErrNotExist }

// anyPieceFile is a piece drawn at random and given in figures: two to four woods, with a target or none, and a wash or two, each known by
// its chip and by a test coat that takes a wood a part of the way to it.
func anyPieceFile(rng *rand.Rand) string {
	lab := func(low, high float64) [3]float64 {
		return [3]float64{low + (high-low)*rng.Float64(), 2 + 14*rng.Float64(), 10 + 18*rng.Float64()}
	}
	list := func(c [3]float64) string { return fmt.Sprintf("lab = [%.2f, %.2f, %.2f]", c[0], c[1], c[2]) }
	var s strings.Builder
	s.WriteString("name = \"piece\"\n")
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&s, "[target]\n%s\nplus_minus = %.1f\n", list(lab(35, 70)), 1+4*rng.Float64())
	}
	var woods [][3]float64
	for i := range 2 + rng.IntN(3) {
		woods = append(woods, lab(40, 82))
		fmt.Fprintf(&s, "[[area]]\nname = \"wood %c\"\n%s\nplus_minus = %.1f\nsurface = \"sealed\"\nsize_m2 = 0.3\n",
			'a'+rune(i), list(woods[i]), 1+2*rng.Float64())
	}
	for i := range 1 + rng.IntN(2) {
		chip, part := lab(25, 60), 0.15+0.4*rng.Float64()
		result := woods[0]
		for k := range result {
			result[k] += part * (chip[k] - result[k])
		}
		fmt.Fprintf(&s, "[[coating]]\nname = \"wash %c\"\nkind = \"wash\"\ndilution = { paint = 1, water = 3 }\nchip = { %s, plus_minus = 2 }\n",
			'p'+rune(i), list(chip))
		fmt.Fprintf(&s, "[[coating.test]]\ncoats = 1\nground = { %s }\nresult = { %s }\n", list(woods[0]), list(result))
	}
	return s.String()
}

// What stands as a figure with its range: in text, in the table of steps, and as coats.
var rangesSaid = []*regexp.Regexp{
	regexp.MustCompile(`(\d+\.\d) \((?:likely )?(\d+\.\d)–(\d+\.\d)\)`),
	regexp.MustCompile(`(?m)\d+\.\d +(\d+\.\d) +(\d+\.\d)–(\d+\.\d)(?: +\d+ %)?$`),
	regexp.MustCompile(`\b(\d+) coats?(?: of wash .)? \((\d+) to (\d+)\)`),
}

// heldSaid requires of every figure that a text gives with a range to lie in it, and returns how many there are.
func heldSaid(t *testing.T, text string) (found int) {
	t.Helper()
	for _, form := range rangesSaid {
		for _, m := range form.FindAllStringSubmatch(text, -1) {
			var x [3]float64
			for i := range x {
				x[i], _ = strconv.ParseFloat(m[i+1], 64)
			}
			require.True(t, x[1] <= x[0] && x[0] <= x[2], m[0])
			found++
		}
	}
	return found
}

// heldJSON requires the same of JSON: of "x" beside "x_range", and of a count or a median beside "range".
func heldJSON(t *testing.T, v any) (found int) {
	t.Helper()
	switch v := v.(type) {
	case []any:
		for _, of := range v {
			found += heldJSON(t, of)
		}
	case map[string]any:
		for key, of := range v {
			found += heldJSON(t, of)
			figures, isRange := of.([]any)
			if name, has := strings.CutSuffix(key, "range"); !has || !isRange {
				continue
			} else if key = strings.TrimSuffix(name, "_"); key == "" {
				key = "count"
				if _, has := v[key]; !has {
					key = "median"
				}
			}
			x, known := v[key].(float64)
			require.True(t, known, "%s in %v", key, v)
			require.Len(t, figures, 2)
			require.True(t, figures[0].(float64) <= x && x <= figures[1].(float64), "%s: %v in %v", key, x, figures)
			found++
		}
	}
	return found
}

// No figure that is printed lies outside the range beside it: in short and full text, on any width, in the words of the page, in charts, on
// the card and in JSON.
func TestPrintedFiguresLieInTheirRanges(t *testing.T) {
	rng := rand.New(rand.NewPCG(20, 3))
	found := map[string]int{}
	for range figure.Draws(20, 500) {
		files := noFiles{anyPieceFile(rng)}
		p, err := workshop.ReadPiece(files, "piece.toml")
		require.NoError(t, err, files.piece)
		photos, err := workshop.OpenPhotos(t.Context(), files, p)
		require.NoError(t, err)
		r, err := workshop.PlanFrom(t.Context(), photos, &workshop.PlanRequest{Piece: *p, WhatIf: "wood a=1 wash p, wood b=2 wash p"})
		require.NoError(t, err, files.piece)
		write := func(of string, to func(io.Writer) error) string {
			var b bytes.Buffer
			require.NoError(t, to(&b), of)
			return b.String()
		}
		page := report.Style{Speaker: words.Speaker{Voice: words.Page}, Full: true, Width: 44}
		for of, s := range map[string]report.Style{"text": {}, "full": {Full: true}, "narrow": {Full: true, Width: 40}, "page": page} {
			found[of] += heldSaid(t, write(of, func(w io.Writer) error { return s.PlanText(w, r) }))
		}
		said := append(page.ChoiceWords(r), page.PairWords(r, &r.Choices[0].Pairs[0]))
		for i := range r.Areas {
			said = append(said, picture.Plan(r, &r.Areas[i]))
		}
		heldSaid(t, strings.Join(said, "\n"))
		var v any
		require.NoError(t, json.Unmarshal([]byte(write("JSON", func(w io.Writer) error { return report.PlanJSON(w, r) })), &v))
		found["JSON"] += heldJSON(t, v)
		for of, shown := range map[string]*workshop.PlanResult{"card": r, "card as asked": r.AsAsked()} {
			schedule, err := shown.Schedule(time.Time{}, morning)
			require.NoError(t, err)
			sheet, err := report.NewCard(t.Context(), photos, shown, schedule, "", morning)
			require.NoError(t, err)
			found[of] += heldSaid(t, write(of, func(w io.Writer) error { return card.HTML(w, sheet, "A4") }))
		}
	}
	t.Log(found)
	for _, of := range []string{"text", "full", "narrow", "page", "JSON", "card"} {
		require.Positive(t, found[of], of)
	}
}

// The test above sees what it looks for.
func TestRangesThatAreMissed(t *testing.T) {
	for _, text := range []string{"ΔE00 3.9 (likely 1.9–6.3).", "19.7 (16.2–22.6) across the room", "3 coats of wash p (2 to 4)",
		"1 coat (0 to 1)",
		"      2  #9c6f46  L*  50.4  a*  13.2  b*  29.8    6.5   10.2   6.9–13.5   50 %"} {
		require.Equal(t, 1, heldSaid(t, text), text)
	}
	require.Equal(t, 3, heldJSON(t, map[string]any{"worst": 2.0, "worst_range": []any{1.0, 3.0}, "coats": []any{
		map[string]any{"count": 2.0, "range": []any{1.0, 2.0}}, map[string]any{"median": 2.0, "range": []any{1.0, 2.0}}}}))
}
