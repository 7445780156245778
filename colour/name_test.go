package colour

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Hues of everyday things, from memory.
func TestName(t *testing.T) {
	for hex, want := range map[string]string{
		"#a01c3c": "red", "#7a3b22": "red-brown", "#a06a48": "brown", "#6b4a1e": "yellow-brown", "#e8a23c": "amber", "#f2d64b": "yellow",
		"#2e7d32": "green", "#1f3f9f": "blue", "#6a2c8a": "violet", "#101010": "black", "#808080": "grey", "#fafafa": "white",
		"#f08030": "orange",
	} {
		c, err := ParseHex(hex)
		require.NoError(t, err)
		lab := c.Linear().XYZ().Lab()
		require.Equal(t, want, hueName(lab), "%s %v", hex, lab)
	}
}
