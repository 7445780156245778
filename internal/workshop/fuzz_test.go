package workshop_test

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// fullDesk uses most kinds of key that a piece file may have, of one small photo.
const fullDesk = `
name = "desk"
units = "us"
tolerance = 1.5
year_made = 1910
old_finish = true
[target]
lab = [42, 15, 21]
[[photo]]
name = "front"
file = "front.png"
grey = "5,95,40,20"
[[area]]
name = "frame"
wood = "ash"
surface = "sealed"
outline = "5,5,60,80"
size_m2 = 0.4
[[area]]
name = "panel"
surface = "bare"
outline = "90,5 150,8 150,90 88,95"
size_m2 = 0.8
[[area.laid]]
coating = "wash"
coats = 1
after = { lab = [44, 14, 20] }
[[coating]]
name = "wash"
kind = "wash"
family = "water"
put_on = "brushed"
chip = { lab = [32, 9, 14] }
dilution = { paint = 1, water = 4 }
spread = 9.5
[[coating.test]]
coats = 1
ground = { lab = [76, 4, 20] }
result = { lab = [66, 7, 22] }
[clear]
name = "varnish"
coats = 2
[room]
temperature = 19
humidity = 55
start = "2026-03-14T09:00"
opens = "08:00"
closes = "18:00"
`

// shortDesk is written as shortly as a piece file may be.
const shortDesk = `
photo = "front.png"
target = "42, 15, 21"
area = [{ name = "frame", outline = "5,5,60,80" }]
[[coating]]
name = "wash"
kind = "wash"
chip = "#5a4030"
dilution = "1 paint, 4 water"
test = [{ coats = 1, ground = "#c0a080", result = "90,5 150,8 150,90 88,95", dilution = "1:4" }]
`

// FuzzPieceFile reads piece files that somebody has spoilt: each is refused with a place and advice, or
// can be planned, in figures that are figures.
func FuzzPieceFile(f *testing.F) {
	f.Add([]byte(fullDesk))
	f.Add([]byte(cabinetFile()))
	f.Add([]byte(shortDesk))
	photo := image.NewNRGBA(image.Rect(0, 0, 160, 120))
	rng := rand.New(rand.NewPCG(1, 1))
	for i := 0; i < len(photo.Pix); i += 4 {
		light := 100 + rng.IntN(20)
		if i/4%160 < 80 {
			light += 60
		}
		copy(photo.Pix[i:], []byte{byte(light), byte(light * 8 / 10), byte(light * 6 / 10), 255})
	}
	picture := asPNG(f, photo)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 4096 {
			t.Skip("longer files find no more")
		}
		start := time.Now()
		files := inMemory{"piece.toml": string(data), "front.png": picture}
		p, err := workshop.ReadPiece(files, "piece.toml")
		if err != nil {
			says, hint := words.Speaker{}.Fault(err)
			require.Equal(t, fault.Use, fault.KindOf(err), says)
			require.NotEqual(t, fault.Code("piece.syntax"), fault.Of(err).Code, "%v", err)
			require.NotEmpty(t, hint, says)
			return
		}
		require.NoError(t, p.ValidateWithin(piece.Limits{}))
		if len(p.Areas) > 3 || len(p.Coatings) > 2 {
			return // planning takes its time, and is tried with less
		}
		result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *p})
		if err != nil {
			says, hint := words.Speaker{}.Fault(err)
			require.NotEmpty(t, hint, says)
			return
		}
		for _, a := range result.Areas {
			for _, step := range a.Plan.Path {
				require.True(t, step.Lab.IsFinite(), "%s: %v", a.Area.Name, step.Lab)
				require.False(t, math.IsNaN(step.DeltaE), a.Area.Name)
			}
		}
		if _, err := result.Schedule(time.Time{}, time.Unix(1e9, 0)); err != nil {
			require.NotEmpty(t, err.Error())
		}
		require.Less(t, time.Since(start), 20*time.Second)
	})
}

// What the fuzzing begins with is a piece that can be planned.
func TestFullDeskCanBePlanned(t *testing.T) {
	_, err := workshop.ReadPiece(inMemory{"piece.toml": fullDesk}, "piece.toml")
	require.NoError(t, err)
}
