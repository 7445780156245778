package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// A raw photo says what its white was told by.
func TestRawPhotosSayTheirWhite(t *testing.T) {
	for says, c := range map[string]workshop.Calibration{
		"Good. A raw photo, corrected by white paper.":   {Reference: "neutral", White: "neutral"},
		"Good. A raw photo, corrected by the grey card.": {Reference: "grey", White: "grey", Card: 50},
		"Usable: its colours can only be compared with each other. A raw photo, corrected by the white that the camera chose.": {
			Reference: "none", White: "as-shot", Relative: true, Warnings: []fault.Note{fault.Say("photo.relative-only")},
		},
		"Usable: its colours can only be compared with each other. A raw photo, corrected by the paper of a printed slip.": {
			Reference: "none", White: "slips", Relative: true, Warnings: []fault.Note{fault.Say("photo.relative-only")},
		},
	} {
		require.Equal(t, says, Style{}.verdict(c.Verdict(), &c))
	}
	require.Equal(t, "as-shot", calibrationOf(workshop.Calibration{Reference: "none", White: "as-shot"}).White)
}
