package papers

import (
	"context"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// linkPath begins the path of every private link.
const linkPath = "/private/"

// Opened is what a private link shows to whoever has its address.
type Opened struct {
	Link   shop.Link
	Opens  bool   // it was neither taken back nor is its last day past
	Gone   bool   // the watch was sold
	Title  string // empty where nothing may be told
	Told   telling.Told
	Price  money.Money
	Asked  bool // whether a price is told
	Held   bool // the watch is reserved
	Photos []*evidence.Photo
	Shop   shop.Letterhead
}

// Tells reports whether the watch is told of.
func (o Opened) Tells() bool { return o.Opens && !o.Gone && o.Title != "" }

// MakeLink makes a private link of a watch to a client, and returns it with what stands in its address. It errs as
// telling does where the watch may not be told of, such as one that is not ours to sell or was sold.
func MakeLink(ctx context.Context, s *rooms.Shop, l shop.Link, days int) (shop.Link, string, error) {
	w, err := s.Watch(ctx, l.Watch)
	if err != nil {
		return l, "", err
	}
	if _, _, err := toldUnder(ctx, s, w, say.LanguageOf(l.Language)); err != nil {
		return l, "", err
	}
	return s.People.AddLink(ctx, l, days)
}

// LinkAddress is the address of a private link in a shop that others find at a base address.
func LinkAddress(base, secret string) string {
	return strings.TrimSuffix(base, "/") + linkPath + secret
}

func toldUnder(ctx context.Context, s *rooms.Shop, w shop.Watch, language string) (Edition, telling.Subject, error) {
	o, file, err := s.OpinionOn(ctx, w.ID, s.Now(), opinion.Settings{})
	if err != nil {
		return Edition{}, telling.Subject{}, err
	}
	subject, err := SubjectOn(ctx, s, w, o, file)
	if err != nil {
		return Edition{}, subject, err
	}
	e, err := EditionOf(ctx, s, w, subject, telling.Page, language, 0)
	return e, subject, err
}

// OpenLink is what the private link shows of which this stands in the address; shop.ErrNotFound where there is none.
// A link that has ended tells nothing of the watch.
func OpenLink(ctx context.Context, s *rooms.Shop, secret string) (Opened, error) {
	l, err := s.People.LinkUnder(ctx, secret)
	if err != nil {
		return Opened{}, err
	}
	out := Opened{Link: l, Opens: l.Opens(s.Now())}
	if out.Shop, err = s.Letterhead(ctx); err != nil || !out.Opens {
		return out, err
	}
	w, err := s.Watch(ctx, l.Watch)
	if err != nil {
		return out, err
	}
	if out.Gone = standing(w.State) == telling.Gone; out.Gone {
		return out, nil
	}
	e, subject, err := toldUnder(ctx, s, w, l.Language)
	if NotTold(err) {
		return out, nil
	}
	if err != nil {
		return out, err
	}
	out.Title, out.Told, out.Price, out.Asked = e.Told.Title, e.Told, w.Asking, !w.Asking.IsZero()
	out.Held, out.Photos = subject.Offer.Standing == telling.Reserved, PublicPhotos(subject.File)
	return out, nil
}
