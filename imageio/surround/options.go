package surround

import "huewright/imageio"

// Options says what lies round a repair.
type Options struct {
	Name    string            // of the repair, for messages; default none
	Wood    *imageio.Outline  // the wood it is judged against; nil finds it round the repair
	Exclude []imageio.Outline // other repairs, fittings, the piece's edges
	Light   imageio.Light     // that falls on the photo, to be evened out; default even light
}

// outlines are those that must fit the photo besides the repair's own.
func (o *Options) outlines() []imageio.Outline {
	all := o.Exclude
	if o.Wood != nil {
		all = append([]imageio.Outline{*o.Wood}, all...)
	}
	return all
}

// refuse returns the error of a repair that cannot be judged.
func (o *Options) refuse(p *imageio.Photo, problem, advice string) error {
	return &imageio.AreaError{Path: p.Path, Name: o.Name, Problem: problem, Advice: advice}
}
