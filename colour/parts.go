package colour

import (
	"runtime"
	"sync"
)

// inParts does work on 0 … n in parts of the given size, on all processors. The parts are the same on any
// number of them.
func inParts(n, size int, work func(from, to int)) {
	var wait sync.WaitGroup
	turns := make(chan int)
	for range min(runtime.GOMAXPROCS(0), (n+size-1)/size) {
		wait.Go(func() {
			for from := range turns {
				work(from, min(from+size, n))
			}
		})
	}
	for from := 0; from < n; from += size {
		turns <- from
	}
	close(turns)
	wait.Wait()
}
