package imagetest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

// RequireFault requires an error to be a fault of a code, and returns it.
func RequireFault(t testing.TB, err error, code fault.Code, about ...any) *fault.Fault {
	t.Helper()
	require.Error(t, err, about...)
	f := fault.Of(err)
	require.NotNil(t, f, append(about, err)...)
	require.Equal(t, code, f.Code, append(about, err)...)
	return f
}

// Codes are those of notes, in turn.
func Codes(notes []fault.Note) (codes []fault.Code) {
	for _, n := range notes {
		codes = append(codes, n.Code)
	}
	return codes
}
