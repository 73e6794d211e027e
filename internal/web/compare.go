package web

import (
	"context"
	"errors"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/web/pages/compare"
	"midcase/opinion"
)

// comparePages set two watches side by side.
type comparePages struct{ *site }

func (s *comparePages) routes(mux *http.ServeMux) {
	mux.Handle("GET /compare", s.page(s.comparePage))
	mux.Handle("POST /watches/{id}/example", s.page(s.setExample))
}

// othersOffered is how many examples of a reference the choice holds.
const othersOffered = 60

func (s *comparePages) comparePage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	a, err := s.shop.Find(ctx, r.FormValue("a"))
	if err != nil {
		return err
	}
	d := compare.Data{Frame: s.frame("stock", "Side by side"), Find: r.FormValue("find")}
	if d.Example, _, err = s.shop.Intake.ReferenceExample(ctx, a.Maker, a.Reference); err != nil {
		return err
	}
	if d.A, err = s.side(ctx, a, d.Example); err != nil {
		return err
	}
	book, inBook := compare.OfBook(d.A)
	d.InBook = inBook
	if err := s.others(ctx, a, &d); err != nil {
		return err
	}
	b := r.FormValue("b")
	if d.Find != "" {
		found, err := s.shop.Find(ctx, d.Find)
		switch {
		case errors.Is(err, shop.ErrNotFound), errors.Is(err, shop.ErrAmbiguous):
			d.Problem = err.Error()
		case err != nil:
			return err
		default:
			b = string(found.ID)
		}
	}
	if b == "" {
		b = other(a, d)
	}
	switch {
	case b == compare.Book && inBook:
		d.B = book
	case b != "":
		w, err := s.shop.Watch(ctx, shop.WatchID(b))
		if err != nil {
			return err
		}
		if d.B, err = s.side(ctx, w, d.Example); err != nil {
			return err
		}
	}
	if b != "" {
		d.Sections, d.Pairs = compare.Sections(ctx, d.A, d.B), compare.Pairs(d.A, d.B)
	}
	if d.Problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return compare.Page(d).Render(ctx, w)
}

// other is what a watch stands beside where nothing was asked for: the reference
// example, or the book, or the next example there is.
func other(a shop.Watch, d compare.Data) string {
	switch {
	case d.Example != "" && d.Example != a.ID:
		return string(d.Example)
	case d.InBook:
		return compare.Book
	case len(d.Others) > 0:
		return string(d.Others[0].ID)
	}
	return ""
}

// others are the examples of the same reference, the reference example first.
func (s *comparePages) others(ctx context.Context, a shop.Watch, d *compare.Data) error {
	all, err := s.shop.Watches(ctx, shop.Filter{Maker: a.Maker, Reference: a.Reference})
	if err != nil {
		return err
	}
	for _, w := range all {
		switch {
		case w.ID == a.ID:
		case w.ID == d.Example:
			d.Others = append([]shop.Watch{w}, d.Others...)
		default:
			d.Others = append(d.Others, w)
		}
	}
	if d.More = len(d.Others) - othersOffered; d.More > 0 {
		d.Others = d.Others[:othersOffered]
	}
	return nil
}

func (s *comparePages) side(ctx context.Context, w shop.Watch, example shop.WatchID) (compare.Side, error) {
	o, file, err := s.shop.OpinionOn(ctx, w.ID, s.shop.Now(), opinion.Settings{})
	if err != nil {
		return compare.Side{}, err
	}
	side := compare.OfWatch(shop.SeenWatch(ctx, w), shop.SeenOpinion(ctx, o), file, s.shop.Book(ctx))
	side.Example = w.ID == example
	return side, nil
}

// setExample names a watch as the reference example of its reference.
func (s *comparePages) setExample(w http.ResponseWriter, r *http.Request) error {
	kept, err := s.shop.Intake.SetReferenceExample(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	to := "/watches/" + string(kept.ID)
	if m, ref, ok := s.shop.Book(r.Context()).Reference(kept.Maker, kept.Reference); ok {
		to = "/book/" + m.ID + "/" + ref.ID + "#examples"
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
