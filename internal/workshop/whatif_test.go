package workshop

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// two is a piece of two coatings whose plan lays both on the frame, one on the panel, and none on the filled corner.
func two(layers ...piece.Layer) (*piece.Piece, *plan.Choice) {
	p := &piece.Piece{
		Areas:     []piece.Area{{Name: "frame"}, {Name: "panel"}, {Name: "filled corner"}},
		Coatings:  []piece.Coating{{Name: "pale wash"}, {Name: "brown glaze"}, {Name: "pale wash, thinned"}},
		Layers:    layers,
		Tolerance: 2,
	}
	on := func(name string, coats ...plan.CoatCount) plan.AreaPlan {
		return plan.AreaPlan{Name: name, Coats: coats}
	}
	return p, &plan.Choice{Areas: []plan.AreaPlan{
		on("frame", plan.CoatCount{Coating: "pale wash", Count: 3}, plan.CoatCount{Coating: "brown glaze", Count: 1}),
		on("panel", plan.CoatCount{Coating: "brown glaze", Count: 2}), on("filled corner"),
	}}
}

func TestCountsAreRead(t *testing.T) {
	frame, panel := []plan.Layer{{Coating: 0, Coats: 3}, {Coating: 1, Coats: 1}}, []plan.Layer{{Coating: 1, Coats: 2}}
	for text, want := range map[string][][]plan.Layer{
		"panel=3":                             {frame, {{Coating: 1, Coats: 3}}, nil},
		"  Panel = 3, ":                       {frame, {{Coating: 1, Coats: 3}}, nil},
		"frame=2+0 panel=1":                   {{{Coating: 0, Coats: 2}, {Coating: 1}}, {{Coating: 1, Coats: 1}}, nil},
		"frame=0":                             {nil, panel, nil},
		"panel=2 pale wash + 1 brown glaze":   {frame, {{Coating: 0, Coats: 2}, {Coating: 1, Coats: 1}}, nil},
		"panel=2 pale wash frame=1 Pale Wash": {{{Coating: 0, Coats: 1}}, {{Coating: 0, Coats: 2}}, nil},
		"filled corner=4 pale wash, thinned; panel=1": {frame, {{Coating: 1, Coats: 1}}, {{Coating: 2, Coats: 4}}},
		"filled corner=4 pale wash, panel=1":          {frame, {{Coating: 1, Coats: 1}}, {{Coating: 0, Coats: 4}}},
	} {
		p, chosen := two()
		on, err := parseCounts(text, p, chosen)
		require.NoError(t, err, text)
		require.Equal(t, want, on, text)
	}
}

// Counts go on the layers of a piece where it has any: on those that are planned, unless others are named.
func TestCountsOnLayers(t *testing.T) {
	wash, glaze := piece.Layer{Coating: "pale wash", Areas: []string{"frame", "panel"}}, piece.Layer{Coating: "brown glaze", Coats: int64(1)}
	on := func(counts ...[2]int) (all [][]plan.Layer) {
		for _, n := range counts {
			all = append(all, []plan.Layer{{Coating: 0, Coats: n[0]}, {Coating: 1, Coats: n[1]}})
		}
		return all
	}
	for text, want := range map[string][][]plan.Layer{
		"panel=2":                         on([2]int{3, 1}, [2]int{2, 1}, [2]int{0, 0}),
		"panel=0 frame=1":                 on([2]int{1, 1}, [2]int{0, 1}, [2]int{0, 0}),
		"filled corner=0":                 on([2]int{3, 1}, [2]int{0, 2}, [2]int{0, 0}),
		"frame=2+3":                       on([2]int{2, 3}, [2]int{0, 2}, [2]int{0, 0}),
		"panel=2 brown glaze":             on([2]int{3, 1}, [2]int{0, 2}, [2]int{0, 0}),
		"panel=2 pale wash+3 brown glaze": on([2]int{3, 1}, [2]int{2, 3}, [2]int{0, 0}),
		"filled corner=2, panel=1":        on([2]int{3, 1}, [2]int{1, 1}, [2]int{0, 2}),
		"filled corner=2 brown glaze frame=4 panel=4": on([2]int{4, 1}, [2]int{4, 1}, [2]int{0, 2}),
	} {
		p, chosen := two(wash, glaze)
		got, err := parseCounts(text, p, chosen)
		require.NoError(t, err, text)
		require.Equal(t, want, got, text)
	}
}

// The example that is given is one that the layers of the area take.
func TestCountsExampleIsTaken(t *testing.T) {
	p, chosen := two(piece.Layer{Coating: "brown glaze"}, piece.Layer{Coating: "pale wash", Areas: []string{"panel"}})
	for _, area := range []string{"frame", "panel"} {
		_, err := parseCounts(area+"=1+1+1", p, chosen)
		require.True(t, fault.Is(err, "use.coats-which"), err)
		example := fault.Of(err).Values["example"]
		_, err = parseCounts(fmt.Sprintf("%s=%v", area, example), p, chosen)
		require.NoError(t, err, example)
	}
}

func TestCountsAreRefused(t *testing.T) {
	wash := piece.Layer{Coating: "pale wash", Areas: []string{"panel"}}
	glaze := piece.Layer{Coating: "brown glaze", Areas: []string{"panel"}}
	for _, c := range []struct {
		text   string
		layers []piece.Layer
		code   fault.Code
	}{
		{"panel", nil, "use.coats-form"},
		{"=3", nil, "use.coats-area"},
		{"panle=3", nil, "use.coats-area"},
		{"panel=3 fraem=1", nil, "use.coats-area"},
		{"panel=1 panel=2", nil, "use.coats-twice"},
		{"panel=", nil, "use.coats-number"},
		{"panel=two", nil, "use.coats-number"},
		{"panel=-1", nil, "use.coats-number"},
		{"panel=1.5", nil, "use.coats-number"},
		{"panel=99999999999999999999", nil, "use.coats-number"},
		{"panel=1 +", nil, "use.coats-number"},
		{"panel=1 red wash", nil, "use.coats-coating"},
		{"panel=1 red wash frame=2", nil, "use.coats-coating"},
		{"frame=2", nil, "use.coats-which"},
		{"filled corner=2", nil, "use.coats-which"},
		{"panel=2 pale wash + 1", nil, "use.coats-which"},
		{"panel=2 pale wash + 1", []piece.Layer{wash, glaze}, "use.coats-which"},
		{"panel=2", []piece.Layer{wash, glaze}, "use.coats-which"},
		{"panel=1 brown glaze + 1 pale wash", []piece.Layer{wash, glaze}, "use.coats-layer"},
		{"frame=1", []piece.Layer{wash, glaze}, "use.coats-no-layer"},
	} {
		p, chosen := two(c.layers...)
		_, err := parseCounts(c.text, p, chosen)
		require.True(t, fault.Is(err, c.code), "%q: %v", c.text, err)
	}
}

// FuzzParseCounts: whatever is typed is read or refused, and what is read has a place for every layer.
func FuzzParseCounts(f *testing.F) {
	for _, text := range []string{"panel=3 frame=1", "panel=2 pale wash + 1 brown glaze, frame=0", "filled corner=1+", "=", "panel=1;;",
		"p\xff=1"} {
		f.Add(text, true)
		f.Add(text, false)
	}
	f.Fuzz(func(t *testing.T, text string, layered bool) {
		var layers []piece.Layer
		if layered {
			layers = []piece.Layer{{Coating: "pale wash"}, {Coating: "brown glaze", Coats: int64(1)}}
		}
		p, chosen := two(layers...)
		on, err := parseCounts(text, p, chosen)
		if err != nil {
			require.NotNil(t, fault.Of(err))
			return
		}
		require.Len(t, on, len(p.Areas))
		for _, ls := range on {
			for k, l := range ls {
				require.GreaterOrEqual(t, l.Coats, 0)
				require.GreaterOrEqual(t, l.Coating, 0)
				require.True(t, !layered || l.Coating == k)
			}
			require.True(t, !layered || len(ls) == len(layers))
		}
	})
}
