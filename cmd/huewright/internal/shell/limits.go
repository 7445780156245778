package shell

import (
	"context"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

type limitsKey struct{}

// WithLimits is a context that carries the limits of a run.
func WithLimits(ctx context.Context, limits piece.Limits) context.Context {
	return context.WithValue(ctx, limitsKey{}, limits)
}

// Disk reads files within the limits of the run.
func Disk(ctx context.Context, dir string) workshop.Disk {
	limits, _ := ctx.Value(limitsKey{}).(piece.Limits)
	return workshop.Disk{Dir: dir, Limits: limits}
}
