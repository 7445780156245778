package container

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Whoever waits for the decoder that lets in one at a time may leave.
func TestWaitingForADecoderStops(t *testing.T) {
	require.NoError(t, decoderSemaphore.acquire(t.Context()))
	defer decoderSemaphore.release()
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(5*time.Millisecond, cancel)
	require.Equal(t, context.Canceled, decoderSemaphore.acquire(ctx))
	for _, format := range []Format{formatHEIC, formatAVIF} {
		require.ErrorIs(t, (&Picture{Format: format}).decodeWithin(ctx, nil, false, Limits{}), context.Canceled)
	}
}
