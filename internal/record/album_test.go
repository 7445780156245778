package record_test

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// Whoever waits for a photo that another opens may leave, and what was given up is not kept open.
func TestAlbumStops(t *testing.T) {
	log, err := logbook.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), logbook.Options{Make: true})
	require.NoError(t, err)
	defer func() { require.NoError(t, log.Close()) }()
	album, photo := record.NewAlbum(log, 2), bench.HardPiece().JPEG
	soon, cancel := context.WithCancel(t.Context())
	cancel()
	require.Equal(t, context.Canceled, album.Admit(soon, photo, "front.jpg"))
	require.NoError(t, album.Admit(t.Context(), photo, "front.jpg"))
	_, err = album.OpenPhoto(t.Context(), "none")
	require.Equal(t, fault.Photo, fault.KindOf(err))
}
