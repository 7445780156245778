package colour

import (
	"context"

	"huewright/internal/parallel"
)

// InParts does work on 0 … n in parts of the given size, on all processors. The parts are the same on any
// number of them.
func InParts(n, size int, work func(from, to int)) {
	_ = parallel.Ranges(context.Background(), n, size, work)
}
