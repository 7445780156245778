package report_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/internal/report"
	"huewright/internal/words"
)

// A test coat leaves half of its wood bare, and on a card there is no wood to leave. Pages say how much is gained without
// figures of colour.
func TestWhereATestCoatGoes(t *testing.T) {
	said := func(on string, voice words.Speaker) string {
		advice := plan.TestAdvice{Way: plan.TestCoats, Coats: 1, Coating: "wash", On: on, Now: 10, Then: 8}
		return report.Style{Speaker: voice}.TestWords(&advice)
	}
	require.Equal(t, "To come closer, first put 1 test coat of wash on the frame. Leave half of that wood bare. "+
		"That would bring the expected difference from 10.0 to 8.0.", said("frame", words.Speaker{}))
	require.Equal(t, "To come closer, first put 1 test coat of wash on a black-and-white card. "+
		"That should make the difference at the end 20 % smaller.", said("", words.Speaker{Voice: words.Page}))
}
