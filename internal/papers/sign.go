package papers

import (
	"context"

	"midcase/internal/proof"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
)

// signed is a paper with the shop's signature, the head of the log, and for a paper on the watch itself the proof that
// its evidence is under that head. A shop without a key signs nothing.
func signed(ctx context.Context, s *rooms.Shop, p shop.Paper, pdf []byte) ([]byte, error) {
	if s.Signs == nil || p.LogRoot == "" {
		return pdf, nil
	}
	var records []proof.Record
	if s.Proves != nil && p.Client == "" {
		var err error
		if records, err = s.Proves(ctx, p.Watch, p.LogSize); err != nil {
			return nil, err
		}
	}
	return s.Signs.Sign(pdf, p.Number, proof.Head{Size: p.LogSize, Root: p.LogRoot}, records)
}
