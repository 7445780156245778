package container

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Whoever waits for the decoder that lets in one at a time may leave.
func TestWaitingForADecoderStops(t *testing.T) {
	require.NoError(t, decoderTurn.take(t.Context()))
	defer decoderTurn.pass()
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(5*time.Millisecond, cancel)
	require.Equal(t, context.Canceled, decoderTurn.take(ctx))
	_, err := decodeAVIF(ctx, nil)
	require.Equal(t, context.Canceled, err)
	_, err = decodeHEIC(ctx, nil)
	require.Equal(t, context.Canceled, err)
}
