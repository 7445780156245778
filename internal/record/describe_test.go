package record_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// A test coat and a coat on the piece both tell the tin they came from: the next tin need not be the same colour.
func TestCoatsTellTheirTin(t *testing.T) {
	wash := logbook.Coating{Name: "brown wash", Kind: "wash", Batch: "March tin"}
	for _, e := range []logbook.Entry{
		{TestCoat: &logbook.TestCoat{Coating: wash, Coats: 1, Share: 0.2}}, {Coats: &logbook.Coats{Coating: wash, Coats: 1, Share: 0.2}},
	} {
		require.Contains(t, record.Describe(&e).Parts, fault.Say(fault.Said, "text", "March tin"))
	}
}
