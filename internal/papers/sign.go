package papers

import (
	"context"

	"midcase/internal/proof"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
)

// prover is a store that proves which items of evidence its log had.
type prover interface {
	Prove(ctx context.Context, id shop.WatchID, size int64) ([]proof.Record, error)
}

// signed is a paper with the shop's signature, the head of the log, and for a paper on the watch itself the proof that
// its evidence is under that head. A shop without a key signs nothing.
func signed(ctx context.Context, s *rooms.Shop, p shop.Paper, pdf []byte) ([]byte, error) {
	if s.Signs == nil || p.LogRoot == "" {
		return pdf, nil
	}
	var records []proof.Record
	if by, ok := s.Stores().Watches.(prover); ok && p.Client == "" {
		var err error
		if records, err = by.Prove(ctx, p.Watch, p.LogSize); err != nil {
			return nil, err
		}
	}
	return s.Signs.Sign(pdf, p.Number, proof.Head{Size: p.LogSize, Root: p.LogRoot}, records)
}
