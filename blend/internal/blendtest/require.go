package blendtest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/words"
)

// RequireFault requires a fault of a code, with what to do about it; "" is any code.
func RequireFault(t *testing.T, err error, code fault.Code) {
	t.Helper()
	require.NotNil(t, fault.Of(err), "%v", err)
	if code != "" {
		require.Equal(t, code, fault.Of(err).Code, "%v", err)
	}
	_, hint := words.Speaker{}.Fault(err)
	require.NotEmpty(t, hint, "%v", err)
}
