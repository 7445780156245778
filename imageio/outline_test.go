package imageio

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

func TestParseOutline(t *testing.T) {
	rect, err := ParseOutline("10,20,30.5,40")
	require.NoError(t, err)
	require.Equal(t, Rect(10, 20, 30.5, 40), rect)

	poly, err := ParseOutline(" 0,0  10,0\t5,8.25 ")
	require.NoError(t, err)
	require.Equal(t, []Point{{0, 0}, {10, 0}, {5, 8.25}}, poly.Points)

	closed, err := ParseOutline("0,0 10,0 5,8.25 0,0")
	require.NoError(t, err)
	require.Equal(t, poly, closed)
}

func TestParseOutlineFaults(t *testing.T) {
	for name, c := range map[string]struct {
		in, code string
		values   fault.Values
	}{
		"nothing":         {"", "outline.empty", nil},
		"two numbers":     {"1,2", "outline.numbers", fault.Values{"words": "1,2", "have": 2, "need": 4}},
		"word":            {"a,2,3,4", "outline.not-a-number", fault.Values{"word": "a"}},
		"NaN":             {"NaN,2,3,4", "outline.not-a-number", fault.Values{"word": "NaN"}},
		"infinite":        {"0,0 1,0 1,+Inf", "outline.not-a-number", fault.Values{"word": "+Inf"}},
		"overflow":        {"1e999,2,3,4", "outline.not-a-number", fault.Values{"word": "1e999"}},
		"missing number":  {"1,,3,4", "outline.not-a-number", fault.Values{"word": ""}},
		"negative size":   {"1,2,-3,4", "outline.no-size", fault.Values{"wide": -3.0, "high": 4.0}},
		"no size":         {"1,2,0,0", "outline.no-size", fault.Values{"wide": 0.0, "high": 0.0}},
		"two points":      {"0,0 5,5", "outline.few-corners", fault.Values{"ring": "outline", "corners": 2}},
		"on one line":     {"0,0 5,5 10,10", "outline.crosses", fault.Values{"ring": "outline", "first": 1, "second": 3}},
		"bow tie":         {"0,0 10,10 10,0 0,10", "outline.crosses", fault.Values{"ring": "outline", "first": 1, "second": 3}},
		"there and back":  {"0,0 10,0 5,0 5,5", "outline.crosses", fault.Values{"ring": "outline", "first": 1, "second": 2}},
		"touching itself": {"0,0 10,0 10,10 5,0 0,10", "outline.crosses", fault.Values{"ring": "outline", "first": 1, "second": 3}},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := ParseOutline(c.in)
			f := imagetest.RequireFault(t, err, fault.Code(c.code))
			require.Equal(t, fault.Use, f.Kind)
			require.Equal(t, c.values, f.Values)
		})
	}
}

func TestOutlineText(t *testing.T) {
	for _, o := range []Outline{
		Rect(1, 2, 3.5, 4),
		{Points: []Point{{0, 0}, {10, 0}, {5, 8}}},
		{Points: Rect(0, 0, 100, 100).Points, Holes: [][]Point{Rect(10, 10, 5, 5).Points, {{50, 50}, {60, 50}, {50, 60}}}},
		{Points: Rect(0, 0, 40, 90).Points, More: [][]Point{Rect(60, 0, 40, 90).Points}, Holes: [][]Point{Rect(10, 10, 5, 5).Points}},
	} {
		text, err := o.MarshalText()
		require.NoError(t, err)
		var back Outline
		require.NoError(t, back.UnmarshalText(text), "%s", text)
		require.Equal(t, o, back)
	}
}

func TestOutlineOfSeveralParts(t *testing.T) {
	o, err := ParseOutline("0,0,4,2; 6,0,2,2;not 1,0,1,2; 3,1,4,1")
	require.NoError(t, err)
	require.Equal(t, []Span{{0, 0, 1}, {0, 2, 4}, {0, 6, 8}, {1, 0, 1}, {1, 2, 8}}, o.Spans(10, 10), "parts may overlap")
	low, high := o.Bounds()
	require.Equal(t, []Point{{0, 0}, {8, 2}}, []Point{low, high})
	require.Equal(t, "0,0,4,2; 6,0,2,2; 3,1,4,1; not 1,0,1,2", o.String())

	var old Outline
	require.NoError(t, old.UnmarshalText([]byte(`{"outline":"0,0,9,9","holes":["1,1,2,2","5,5 6,5 6,6"]}`)), "as holes were written once")
	require.Equal(t, "0,0,9,9; not 1,1,2,2; not 5,5 6,5 6,6", old.String())

	for in, code := range map[string]fault.Code{
		"0,0,4,2;": "outline.empty", "0,0,4,2; not": "outline.numbers", "0,0,4,2; not 1,1 2,2": "outline.few-corners",
		"; 0,0,1,1": "outline.empty",
		"0,0,4,2" + strings.Repeat("; 1,1 2,2 3,1", 700): "outline.many-corners",
	} {
		_, err := ParseOutline(in)
		imagetest.RequireFault(t, err, code)
	}
}

func TestSpansOfRectangles(t *testing.T) {
	require.Equal(t, []Span{{2, 1, 4}, {3, 1, 4}}, Rect(1, 2, 3, 2).Spans(10, 10))
	require.Empty(t, Rect(1.6, 1.6, 0.8, 0.8).Spans(10, 10), "holds no centre")
	require.Equal(t, []Span{{1, 1, 2}}, Rect(1.4, 1.4, 0.2, 0.2).Spans(10, 10), "holds one centre")
}

// Outlines that share a side share no pixel and leave none out.
func TestSpansTile(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		p := Point{rng.Float64() * 20, rng.Float64() * 20}
		if rng.IntN(2) == 0 { // on pixel centres, where ties are
			p = Point{float64(rng.IntN(20)) + 0.5, float64(rng.IntN(20)) + 0.5}
		}
		corners := Rect(0, 0, 20, 20).Points
		seen := map[[2]int]int{}
		for i, a := range corners {
			b := corners[(i+1)%4]
			for _, s := range (Outline{Points: []Point{a, b, p}}).Spans(20, 20) {
				for x := s.X0; x < s.X1; x++ {
					seen[[2]int{x, s.Y}]++
				}
			}
		}
		require.Len(t, seen, 400, "split at %v", p)
		for at, n := range seen {
			require.Equal(t, 1, n, "pixel %v, split at %v", at, p)
		}
	}
}

func TestSpansOfACircle(t *testing.T) {
	circle := func(r float64) []Point {
		var ring []Point
		for i := range 360 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 180)
			ring = append(ring, Point{200 + r*cos, 200 + r*sin})
		}
		return ring
	}
	disc := Outline{Points: circle(150)}
	require.NoError(t, disc.Check())
	require.InEpsilon(t, math.Pi*150*150, CountPixels(disc.Spans(400, 400)), 0.001)

	ring := Outline{Points: circle(150), Holes: [][]Point{circle(100), circle(80)}}
	require.InEpsilon(t, math.Pi*(150*150-100*100), CountPixels(ring.Spans(400, 400)), 0.001, "holes may overlap")
}

func FuzzParseOutline(f *testing.F) {
	for _, seed := range []string{
		"1,2,3,4", "0,0 10,0 5,8.25", "0,0 10,10 10,0 0,10", "NaN,1,2,3", "0,0,9,9; not 1,1,2,2; 20,20,5,5", "1e308,1e308,1e308,1e308",
		"-5,-5 5,-5 0,7",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := ParseOutline(s)
		if err != nil {
			require.Equal(t, fault.Use, fault.KindOf(err))
			return
		}
		require.Greater(t, ringArea(o.Points), 0.0)
		for _, run := range o.Spans(50, 50) {
			require.True(t, 0 <= run.Y && run.Y < 50 && 0 <= run.X0 && run.X0 < run.X1 && run.X1 <= 50, "%+v", run)
		}
		back, err := ParseOutline(o.String())
		require.NoError(t, err)
		require.Equal(t, o.Spans(50, 50), back.Spans(50, 50))
	})
}

func TestOutlineContains(t *testing.T) {
	o := Rect(10, 10, 40, 30)
	o.More = [][]Point{Rect(100, 0, 5, 5).Points}
	o.Holes = [][]Point{Rect(20, 20, 10, 10).Points}
	in := map[[2]int]bool{}
	for _, s := range o.Spans(200, 100) {
		for x := s.X0; x < s.X1; x++ {
			in[[2]int{x, s.Y}] = true
		}
	}
	for y := range 100 {
		for x := range 200 {
			require.Equal(t, in[[2]int{x, y}], o.Contains(Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}), "%d,%d", x, y)
		}
	}
}

// What is cut off at the photo's edge covers the same pixels of the photo.
func TestOutlineWithin(t *testing.T) {
	o := Outline{
		Points: []Point{{X: -20, Y: 5}, {X: 40, Y: -10}, {X: 130, Y: 30}, {X: 60, Y: 95}, {X: 20, Y: 40}},
		More:   [][]Point{Rect(-30, -30, 10, 10).Points, Rect(-5, 70, 20, 20).Points},
		Holes:  [][]Point{Rect(50, 20, 10, 10).Points, Rect(90, 10, 30, 30).Points},
	}
	in := o.Within(100, 80)
	require.Equal(t, CountPixels(o.Spans(100, 80)), CountPixels(in.Spans(100, 80)))
	require.Len(t, in.More, 1)
	require.NoError(t, in.Check())
	low, high := in.Bounds()
	require.GreaterOrEqual(t, min(low.X, low.Y), 0.0)
	require.LessOrEqual(t, high.X, 100.0)
	require.LessOrEqual(t, high.Y, 80.0)
	require.Empty(t, Rect(200, 200, 5, 5).Within(100, 80).Points)
}
