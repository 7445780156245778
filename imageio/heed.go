package imageio

import (
	"context"
	"io"
)

// heedingWriter is heeding for what encoders write.
type heedingWriter struct {
	ctx context.Context
	to  io.Writer
}

func (w heedingWriter) Write(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	return w.to.Write(p)
}
