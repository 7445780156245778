package surround

import (
	"huewright/imageio"
	"huewright/internal/fault"
)

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

// in is an error about the repair on a photo.
func (o *Options) in(p *imageio.Photo, err error) error {
	return fault.In(err, fault.Place{File: p.Path, Area: o.Name})
}
