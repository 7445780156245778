package piece_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
)

// Text that stands for a group of keys means what the group means.
func TestShortText(t *testing.T) {
	inFull, err := piece.Read("bench.toml", []byte(wholePiece), piece.Limits{})
	require.NoError(t, err)
	short := strings.NewReplacer(
		"name = \"hall bench\"\n", "name = \"hall bench\"\nphoto = \"front.jpg\"\n",
		"[[photo]]\nname = \"front\"\nfile = \"front.jpg\"\ncorners = \"10,10 90,10 90,60 10,60\"\n", "",
		"[target]\nlab = [44.1, 14.2, 19.8]\n", "target = \"44.1, 14.2, 19.8\"\n",
		chip, `chip = "#5a4030"`, mix, `dilution = "1 paint, 4 water"`, `{ outline = "10,70,20,20" }`, `"10,70,20,20"`,
	).Replace(wholePiece)
	p, err := piece.Read("bench.toml", []byte(short), piece.Limits{})
	require.NoError(t, err)
	inFull.Photos[0].Corners = ""
	require.Equal(t, inFull, p)
}

func TestPhotosAsText(t *testing.T) {
	p, err := piece.Read("bench.toml", []byte("photo = ['shots/front \"1\".jpg', \"side.heic\"]\n"), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, []piece.Photo{{Name: `front "1"`, File: `shots/front "1".jpg`}, {Name: "side", File: "side.heic"}}, p.Photos)
}

// What is said of places behind a short text, on its line and below, is told where it stands in the file.
func TestPlacesBehindShortText(t *testing.T) {
	text := strings.Replace(wholePiece, chip, `chip = "#5a4030"`+"\nspread = -9", 1)
	_, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
	require.ErrorContains(t, err, "20")
	text = strings.Replace(wholePiece, mix, `dilution = "1:4"`, 1)
	text = strings.Replace(text, `{ area = "frame" }`, `{ area = "farm" }`, 1)
	_, err = piece.Read("bench.toml", []byte(text), piece.Limits{})
	require.ErrorContains(t, err, "24")
}

func TestParseDilution(t *testing.T) {
	for text, want := range map[string]piece.Dilution{
		"1:4": {Paint: 1, Water: 4}, " 1 : 4 ": {Paint: 1, Water: 4}, "1 to 4": {Paint: 1, Water: 4}, "1.5:4": {Paint: 1.5, Water: 4},
		"1 paint, 4 water": {Paint: 1, Water: 4}, "4 water, 1 paint": {Paint: 1, Water: 4}, "1 Paint to 4 thinner": {Paint: 1, Water: 4},
		"1 part paint to 4 parts water": {Paint: 1, Water: 4}, "2 paint and 1 water": {Paint: 2, Water: 1}, "undiluted": {Paint: 1},
	} {
		got, err := piece.ParseDilution(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for _, d := range []*piece.Dilution{{Paint: 1, Water: 4}, {Paint: 2.5, Water: 1}, {Paint: 1, Water: 0}} {
		again, err := piece.ParseDilution(d.String())
		require.NoError(t, err)
		require.Equal(t, *d, again, "what is said of a mix can be typed")
	}
	for _, text := range []string{
		"", "4", "1:", ":4", "-1:4", "1:-4", "1:4:2", "1/4", "20 %", "1,5:4", "a little water", "1 water, 4 thinner", "nan:1",
	} {
		_, err := piece.ParseDilution(text)
		require.Error(t, err, text)
	}
}

// Parts of a mix may be text, with names as the coatings have them.
func TestPartsAsText(t *testing.T) {
	want := []piece.MixPart{{Coating: "titanium white", Parts: 5}, {Coating: "burnt umber", Parts: 0.5}}
	for _, text := range []string{"5 titanium white, 0.5 burnt umber", "5 parts titanium white,0.5 parts of burnt umber",
		" 5  titanium white ,  0.5 burnt umber "} {
		got, err := piece.ParseParts(text)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "titanium white", "5, 1", "5 titanium white, burnt umber", "white 5", "5 white,", "-1 white, 2 umber"} {
		_, err := piece.ParseParts(text)
		require.Error(t, err, text)
	}
}
