package chart

// Read reads a chart without fitting it.
var Read = read

// Misfit and Next say how well a chart fits, the best way round and the next.
func (d *Detection) Misfit() float64 { return d.misfit }
func (d *Detection) Next() float64   { return d.next }
