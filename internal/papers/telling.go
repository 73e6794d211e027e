package papers

import (
	"context"
	"fmt"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/telling"
)

// SubjectOn gathers what is told of a watch of the shop to those who may buy it.
func SubjectOn(ctx context.Context, s *rooms.Shop, w shop.Watch, o opinion.Opinion,
	file evidence.File) (telling.Subject, error) {
	l, err := s.Letterhead(ctx)
	if err != nil {
		return telling.Subject{}, err
	}
	return telling.Subject{Opinion: o, File: file, Book: s.Book(ctx),
		Offer: telling.Offer{Number: fmt.Sprint(w.Number),
			Price: w.Asking, Standing: standing(w.State), Shop: l.Name, Terms: l.Terms}}, nil
}

// standing is whether a watch in a state may be offered.
func standing(s shop.State) telling.Standing {
	switch s {
	case shop.Offered, shop.Returned, shop.TakenBack:
		return telling.NotOurs
	case shop.Sold:
		return telling.Gone
	case shop.Reserved:
		return telling.Reserved
	}
	return telling.ForSale
}
