package imagetest

import (
	"runtime/metrics"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What a file of a few kilobytes may take to be read, however it is damaged. The memory is all
// that was asked for on the way, also such as was given back.
const (
	fuzzedMemory = 1 << 30 // bytes
	fuzzedTime   = 20 * time.Second
)

// FuzzedFile is the length in bytes up to which fuzzing tries files; longer ones find no more, and slower.
const FuzzedFile = 1 << 14

// Bounded runs work and holds it to what it may take.
func Bounded(t *testing.T, work func()) {
	before, start := Allocated(), time.Now()
	work()
	require.Less(t, time.Since(start), fuzzedTime)
	require.Less(t, Allocated()-before, uint64(fuzzedMemory))
}

// Allocated is how much memory was asked for since the program began, in bytes.
func Allocated() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}
