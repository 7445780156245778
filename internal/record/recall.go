package record

import (
	"cmp"
	"context"

	"huewright/blend"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// mostRecalled is how many results of one coating are asked of the log.
const mostRecalled = 60

// Recall asks the log for past results of the coatings of a piece, and for the operator's bias.
// What the log has of the piece itself is left out: that stands in the piece file.
func Recall(ctx context.Context, log *logbook.Log, p *piece.Piece, name string) (*workshop.Past, error) {
	past := &workshop.Past{}
	for i := range p.Coatings {
		k := logged(&p.Coatings[i])
		coats, err := log.PastCoats(ctx, k, name, mostRecalled)
		if err != nil {
			return nil, err
		}
		chips, err := log.PastChips(ctx, k, name, 1)
		if err != nil {
			return nil, err
		}
		past.Coats, past.Chips = append(past.Coats, coats...), append(past.Chips, chips...)
	}
	var err error
	past.Bias, past.Pieces, err = log.Bias(ctx, name)
	return past, err
}

// logged is the coating as the log has it.
func logged(k *piece.Coating) logbook.Coating {
	putOn := cmp.Or(k.HowPutOn(), blend.Brushed)
	return logbook.Coating{Name: k.Name, Kind: k.Kind, Family: k.Family, PutOn: string(putOn), Batch: k.Batch}
}
