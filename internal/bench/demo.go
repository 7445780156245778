package bench

import (
	"context"

	"huewright/colour"
)

// A Demo is the piece the demo works on: one photo of the cabinet with everything in it, what
// is known of the wash, and the true answers.
//
// The story: the frame is ash and pale, the panels are sapele, one foot has been built up in
// filler. All of it is to come to a sample board, a piece of the panels' wood under one coat
// of somebody's nut-brown wash. The same wash is on the shelf, and one coat of it has been
// tried on a strip of each wood.
type Demo struct {
	*Shot
	Wash         *Wash
	Paint, Water int // parts by volume the wash was thinned with, before the test coats

	Answers []Answer // for Frame, Panel and Corner, to come to Target
}

// An Answer is what is true of one area: how many coats bring it nearest to the target, and
// the difference to it, ΔE00, before and after.
type Answer struct {
	Area          string
	Coats         int
	Before, After float64
	Path          []colour.Lab // after 0, 1, 2 … coats
}

// DemoPiece draws the demo's photo, 1600 × 1200, which takes about a second. It is always
// the same.
func DemoPiece() *Demo {
	d, err := DemoPieceContext(context.Background())
	if err != nil {
		panic("bench: " + err.Error()) // nothing ends that context
	}
	return d
}

// DemoPieceContext is DemoPiece for as long as a context goes on. The error is the context's.
func DemoPieceContext(ctx context.Context) (*Demo, error) {
	wash := NewWash(1, "nut brown", 14.5)
	scene := Cabinet(CabinetOptions{Seed: 1, Wash: wash, Boards: []SampleBoard{{Coats: 1}}})
	camera := DrawCamera(1, Mild)
	camera.Gradient, camera.Towards = 0.03, 20 // an even spot by the door, as the advice says
	shot, err := scene.ShootContext(ctx, View{TiltX: 0.01, TiltY: -0.02, RollDegrees: 0.3}, camera)
	if err != nil {
		return nil, err
	}
	d := &Demo{Shot: shot, Wash: wash, Paint: 1, Water: 4}
	target := d.Area(Target).Lab
	for _, name := range []string{Frame, Panel, Corner} {
		d.Answers = append(d.Answers, d.Area(name).answer(wash, target))
	}
	return d, nil
}

func (a *Area) answer(w *Wash, target colour.Lab) Answer {
	const most = 12
	ans := Answer{Area: a.Name, Before: colour.DeltaE2000(target, a.Lab)}
	ans.Coats, ans.After = a.BestCount(w, target, most)
	for n := range most + 1 {
		ans.Path = append(ans.Path, a.After(w, float64(n)))
	}
	return ans
}
