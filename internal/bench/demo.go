package bench

import (
	"context"

	"huewright/colour"
	"huewright/colour/spectra"
)

// A Demo is a piece that the demo works on: one photo of the cabinet with everything in it, what is known of the coatings, and the truth.
//
// The story: the frame is ash and pale, the panels are sapele, one foot has been built up in filler. All of it is to come to a sample
// board, a piece of the panels' wood under one coat of somebody's nut-brown wash. The same wash is on the shelf, and one coat of it has
// been tried on a strip of each wood. There may be a clear red-brown glaze too, tried in the same way.
type Demo struct {
	*Shot
	Wash         *Wash
	Paint, Water int   // parts by volume the wash was thinned with, before the test coats
	Glaze        *Wash // nil for none; it is not thinned

	Answers []Answer // for Frame, Panel and Corner, to come to Target by the wash alone
}

// An Answer is what is true of one area: how many coats of the wash bring it nearest to the target, and the difference to it, ΔE00, before
// and after.
type Answer struct {
	Area          string
	Coats         int
	Before, After float64
	Path          []colour.Lab // after 0, 1, 2 … coats
}

// DemoPiece draws the photo of a piece that comes together, 1600 × 1200, which takes about a second: glaze on the pale wood, then the wash
// over all. It is always the same. The error is the context's.
func DemoPiece(ctx context.Context) (*Demo, error) {
	return drawDemo(ctx, NewWash(1, "nut brown", 14.5), NewGlaze(14))
}

// HardPiece is HardPieceContext for ever.
func HardPiece() *Demo {
	d, err := HardPieceContext(context.Background())
	if err != nil {
		panic("bench: " + err.Error()) // nothing ends that context
	}
	return d
}

// HardPieceContext is the same with a stronger wash and no glaze: the wash alone hides the grain of the ash before it has its colour.
func HardPieceContext(ctx context.Context) (*Demo, error) {
	return drawDemo(ctx, NewWash(1, "nut brown", 14.5), nil)
}

func drawDemo(ctx context.Context, wash, glaze *Wash) (*Demo, error) {
	shot, err := shootDemo(ctx, CabinetOptions{Wash: wash, Glaze: glaze})
	if err != nil {
		return nil, err
	}
	d := &Demo{Shot: shot, Wash: wash, Paint: 1, Water: 4, Glaze: glaze}
	target := d.Area(Target).Lab
	for _, name := range []string{Frame, Panel, Corner} {
		d.Answers = append(d.Answers, d.Area(name).answer(wash, target))
	}
	return d, nil
}

// DemoLater draws the photo of DemoPiece when coats are on it: so many of the glaze, and then of the wash, by area. The error is the
// context's.
func DemoLater(ctx context.Context, glaze, wash map[string]float64) ([]byte, error) {
	shot, err := shootDemo(ctx, CabinetOptions{Wash: NewWash(1, "nut brown", 14.5), Glaze: NewGlaze(14), Glazed: glaze, Laid: wash})
	if err != nil {
		return nil, err
	}
	return shot.JPEG, nil
}

func shootDemo(ctx context.Context, opt CabinetOptions) (*Shot, error) {
	opt.Seed, opt.Boards = 1, []SampleBoard{{Coats: 1}}
	camera := DrawCamera(1, Mild)
	camera.Gradient, camera.Towards = 0.03, 20 // an even spot by the door, as the advice says
	return Cabinet(opt).ShootContext(ctx, View{TiltX: 0.01, TiltY: -0.02, RollDegrees: 0.3}, camera)
}

// Under is the true mean colour of an area under coats of the glaze and then of the wash.
func (d *Demo) Under(area string, glaze, wash int) colour.Lab {
	var sum colour.XYZ
	for _, c := range d.Area(area).components {
		covered := c.surface
		if glaze > 0 {
			covered = d.Glaze.Over(&covered, float64(glaze))
		}
		covered = d.Wash.Over(&covered, float64(wash))
		add(&sum, covered.XYZ(spectra.LightD65), c.share)
	}
	return sum.Lab()
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
