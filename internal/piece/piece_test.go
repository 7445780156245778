package piece_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
)

const wholePiece = `name = "hall bench"

[target]
lab = [44.1, 14.2, 19.8]

[[photo]]
name = "front"
file = "front.jpg"
corners = "10,10 90,10 90,60 10,60"

[[area]]
name = "frame"
outline = "10,10,50,50"
surface = "sealed"

[[coating]]
name = "brown wash"
kind = "wash"
chip = { hex = "#5a4030" }
dilution = { paint = 1, water = 4 }

[[coating.test]]
coats = 1
ground = { area = "frame" }
result = { outline = "10,70,20,20" }
`

func TestReadPiece(t *testing.T) {
	piece, err := piece.Read("bench.toml", []byte(wholePiece), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, "hall bench", piece.Name)
	require.Equal(t, "brown wash", piece.Coatings[0].Name)
	require.InDelta(t, 0.2, piece.Coatings[0].Dilution.Share(), 1e-12)
	require.Equal(t, "1 part paint to 4 parts water", piece.Coatings[0].Dilution.String())
	require.Equal(t, "frame", piece.Coatings[0].Tests[0].Ground.Area)
}

// Each fault is made by replacing one bit of a piece that is whole, and must be pointed at
// where it stands.
func TestReadPieceFaults(t *testing.T) {
	for name, c := range map[string]struct{ from, to, says, at string }{
		"unknown key":           {`surface = "sealed"`, `surfice = "sealed"`, "no such key: area.surfice", ":14:1"},
		"unknown key in inline": {`{ hex = "#5a4030" }`, `{ hexx = "#5a4030" }`, "no such key", ":19:"},
		"wrong type":            {`coats = 1`, `coats = "one"`, "cannot decode", ":23:"},
		"syntax":                {`kind = "wash"`, `kind = wash`, "", ":18:"},
		"negative coats":        {`coats = 1`, `coats = -1`, "coats is -1", ":23:1"},
		"no coats":              {`coats = 1`, `coats = 0`, "coats is 0", ":23:1"},
		"coats not a number":    {`coats = 1`, `coats = nan`, "coats is NaN", ":23:1"},
		"lab not a number":      {`44.1, 14.2`, `nan, 14.2`, "L* is NaN", ":4:1"},
		"lab too light":         {`44.1, 14.2`, `144.1, 14.2`, "L* is 144.1", ":4:1"},
		"lab too short":         {`44.1, 14.2, 19.8`, `44.1, 14.2`, "3 figures", ":4:1"},
		"hex":                   {`#5a4030`, `#5a40`, "#5a40", ":19:"},
		"no paint":              {`paint = 1`, `paint = 0`, "paint is 0 parts", ":20:"},
		"negative water":        {`water = 4`, `water = -4`, "water is -4", ":20:"},
		"kind":                  {`kind = "wash"`, `kind = "varnish"`, `kind is "varnish"`, ":18:1"},
		"no kind":               {`kind = "wash"`, ``, "does not say what kind", ":16:3"},
		"surface":               {`"sealed"`, `"waxed"`, `surface is "waxed"`, ":14:1"},
		"outline":               {`"10,10,50,50"`, `"10,10,50"`, "outline", ":13:1"},
		"outline not a number":  {`"10,10,50,50"`, `"10,NaN,50,50"`, "outline", ":13:1"},
		"outline crosses":       {`"10,10,50,50"`, `"10,10 60,60 60,10 10,60"`, "cross", ":13:1"},
		"corners":               {`10,10 90,10 90,60 10,60`, `10,10 90,10 90,60`, "3 corners, need 4", ":9:1"},
		"corner":                {`10,10 90,10`, `10,10 90;10`, `"90;10"`, ":9:1"},
		"area of ground":        {`area = "frame"`, `area = "farm"`, `no area "farm"`, ":24:"},
		"two sources":           {`area = "frame"`, `area = "frame", hex = "#ffffff"`, "more than once", ":24:1"},
		"no source":             {`lab = [44.1, 14.2, 19.8]`, ``, "nowhere", ":3:2"},
		"no name":               {`name = "frame"`, ``, "no name", ":11:3"},
		"photo without file":    {`file = "front.jpg"`, ``, "names no file", ":6:3"},
		"tolerance":             {`name = "hall bench"`, `tolerance = -2`, "tolerance is -2", ":1:1"},
		"reference":             {`corners = `, `reference = "card"` + "\ncorners = ", `reference is "card"`, ":9:1"},
		"neutral":               {`corners = `, `neutral = ["1,2,3,4", "1,2,3"]` + "\ncorners = ", "neutral: ", ":9:1"},
		"neutral not a list":    {`corners = `, `neutral = "1,2,3,4"` + "\ncorners = ", "cannot decode", ":9:"},
		"neutral's lightness":   {`corners = `, `neutral = ["1,2,30,40"]` + "\nneutral_lightness = 300\ncorners = ", "lightness is 300", ":10:1"},
		"scale": {`corners = `, `scale = { from = "1,2", to = "1;300", mm = 30 }` + "\ncorners = ",
			`"1;300" is not "x,y"`, ":9:1"},
		"scale without length": {`corners = `, `scale = { from = "1,2", to = "1,300" }` + "\ncorners = ", "a length of 0 mm", ":9:1"},
		"chart's width":        {`corners = `, `chart_width = -3` + "\ncorners = ", "width is -3 mm", ":9:1"},
		"values without chart": {`corners = "10,10 90,10 90,60 10,60"`, `reference = "none"` + "\n" + `chart_values = "chart.csv"`,
			"no chart", ":10:1"},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, 1, strings.Count(wholePiece, c.from), "the test replaces one place")
			text := strings.Replace(wholePiece, c.from, c.to, 1)
			_, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
			var fault *piece.Error
			require.ErrorAs(t, err, &fault)
			require.Contains(t, err.Error(), c.says)
			require.Contains(t, err.Error(), "bench.toml"+c.at)
			require.NotEmpty(t, fault.Hint())
		})
	}
}

func TestSameNameTwice(t *testing.T) {
	text := wholePiece + "\n[[area]]\nname = \"frame\"\noutline = \"1,1,5,5\"\n"
	_, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
	require.ErrorContains(t, err, `a second area named "frame"`)
}

func TestDilutionInWords(t *testing.T) {
	require.Equal(t, "undiluted", (*piece.Dilution)(nil).String())
	require.Equal(t, "2 parts paint to 1 part water", (&piece.Dilution{Paint: 2, Water: 1}).String())
	require.InDelta(t, 1, (*piece.Dilution)(nil).Share(), 0)
}

func TestTieFaults(t *testing.T) {
	const second = "[[photo]]\nname = \"side\"\nfile = \"side.jpg\"\n[[tie]]\nname = \"slip\"\n"
	place := `[[photo]]
name = "front"`
	for says, in := range map[string]string{
		`in 1 photo, need 2`:       `in = { front = "1,1,50,50" }`,
		`there is no photo "back"`: `in = { front = "1,1,50,50", back = "1,1,50,50" }`,
		`outline`:                  `in = { front = "1,1,50,50", side = "1,1,50" }`,
		`no such key`:              `on = { front = "1,1,50,50" }`,
		`cannot decode`:            `in = "front"`,
	} {
		text := strings.Replace(wholePiece, place, second+in+"\n"+place, 1)
		_, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
		var fault *piece.Error
		require.ErrorAs(t, err, &fault)
		require.Contains(t, err.Error(), says)
		require.Contains(t, err.Error(), "bench.toml:11:")
		require.NotEmpty(t, fault.Hint())
	}
	twice := strings.Replace(wholePiece, `surface = "sealed"`, "photo = \"front\"\nalso = { front = \"1,1,50,50\" }", 1)
	_, err := piece.Read("bench.toml", []byte(twice), piece.Limits{})
	require.ErrorContains(t, err, `in photo "front" twice`)
}
