package workshop_test

import (
	"context"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// inMemory are files that exist in a test only.
type inMemory map[string]string

func (m inMemory) ReadFile(path string) ([]byte, error) {
	if data, ok := m[path]; ok {
		return []byte(data), nil
	}
	return nil, fs.ErrNotExist
}

func (m inMemory) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	data, err := m.ReadFile(path)
	if err != nil {
		return nil, fault.In(fault.New(fault.Photo, "photo.no-file"), fault.Place{File: path})
	}
	return imageio.Decode(ctx, data, path)
}

func TestReadPieceThatIsNone(t *testing.T) {
	_, err := workshop.ReadPiece(inMemory{}, "bench.toml")
	require.True(t, fault.Is(err, "file.not-there"), "%v", err)
	require.Equal(t, "bench.toml", fault.Of(err).Place.File)
	_, err = workshop.ReadPiece(inMemory{"photo.jpg": "\xff\xd8\xff"}, "photo.jpg")
	require.True(t, fault.Is(err, "piece.not-text"), "%v", err)
}
