package papers

import (
	"context"
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/say"
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

// ForSale reports whether a watch in a state may be told of to buyers.
func ForSale(s shop.State) bool {
	at := standing(s)
	return at == telling.ForSale || at == telling.Reserved
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

// Tell writes what is told of a watch in one form and language. What may not be offered is refused as
// telling.Refused, a text that would leave a disclosure out as telling.LeftOutError.
func Tell(s telling.Subject, form telling.Form, language string, length int) (telling.Told, error) {
	w, ok := say.In(language)
	if !ok {
		return telling.Told{}, wrong("tell of the watch", "language", fmt.Sprintf("%q", language),
			"one of "+strings.Join(say.Languages(), ", "))
	}
	plan, err := telling.Make(s)
	var told telling.Told
	if err == nil {
		told, err = plan.Tell(w, form, length)
	}
	return told, err
}

// ListingOf is the listing of a subject in one language, as the program tells it.
func ListingOf(s telling.Subject, language string, issuer document.Shop) (document.Listing, error) {
	told, err := Tell(s, telling.Page, language, 0)
	if err != nil {
		return document.Listing{}, err
	}
	return listingIn(s, told, issuer), nil
}

// listingIn is the listing of a subject in the words of a text.
func listingIn(s telling.Subject, told telling.Told, issuer document.Shop) document.Listing {
	return document.Listing{Told: told, Watch: s.Opinion.Watch, Made: edtf.Shortest(s.Opinion.Dating.EDTF),
		Number: s.Offer.Number, Price: s.Offer.Price, Reserved: s.Offer.Standing == telling.Reserved,
		URL:  s.Offer.Address,
		Shop: issuer}
}

// ListingOn gathers the listing of a watch of the shop in one language, in the dealer's own words where he edited it.
func ListingOn(ctx context.Context, s *rooms.Shop, w shop.Watch, r document.Report,
	language string) (document.Listing, error) {
	subject, err := SubjectOn(ctx, s, w, r.Opinion, evidence.File{Items: r.Items})
	if err != nil {
		return document.Listing{}, err
	}
	e, err := EditionOf(ctx, s, w, subject, telling.Page, language, 0)
	if err != nil {
		return document.Listing{}, err
	}
	return listingIn(subject, e.Told, r.Shop), nil
}
