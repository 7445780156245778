package blendtest

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// RequireHint requires an error that says want and has a hint.
func RequireHint(t *testing.T, err error, want string) {
	t.Helper()
	require.ErrorContains(t, err, want)
	var hinted interface{ Hint() string }
	require.ErrorAs(t, err, &hinted)
	require.NotEmpty(t, hinted.Hint())
}
