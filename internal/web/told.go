package web

import (
	"net/http"
	"slices"
	"strconv"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/web/pages/told"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// listingOf gathers what a listing page begins with: the watch, and the form, language and
// length asked for.
func (s *watchPages) listingOf(r *http.Request) (told.Data, telling.Subject, error) {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return told.Data{}, telling.Subject{}, err
	}
	asOf, _, err := s.asOf(r)
	if err != nil {
		return told.Data{}, telling.Subject{}, err
	}
	o, file, err := s.shop.OpinionOn(ctx, record.ID, asOf, opinion.Settings{})
	if err != nil {
		return told.Data{}, telling.Subject{}, err
	}
	subject, err := papers.SubjectOn(ctx, s.shop, record, o, file)
	d := told.Data{Frame: s.frame("stock", "Listing of "+record.Title), Watch: record, For: telling.Page,
		Language: "en", Length: telling.LongPost}
	if f := telling.Form(r.FormValue("for")); slices.Contains(telling.Forms(), f) {
		d.For = f
	}
	if l := r.FormValue("language"); slices.Contains(say.Languages(), l) {
		d.Language = l
	}
	if n, err := strconv.Atoi(r.FormValue("characters")); err == nil && n > 0 {
		d.Length = n
	}
	return d, subject, err
}

// listingPage shows what a buyer is told of a watch, in the form and language asked for.
func (s *watchPages) listingPage(w http.ResponseWriter, r *http.Request) error {
	d, subject, err := s.listingOf(r)
	if err != nil {
		return err
	}
	e, err := papers.EditionOf(r.Context(), s.shop, d.Watch, subject, d.For, d.Language, d.Length)
	d.Told, d.Own = e.Told, e.Own
	d.Changed = len(e.Merged.Changes)
	d.Editable = papers.Editable(d.For) && e.Machine.Text != "" && rights.May(r.Context(), rights.Record)
	if papers.NotTold(err) {
		d.Problem, err = err.Error(), nil
	}
	if err != nil {
		return err
	}
	return told.Page(d).Render(r.Context(), w)
}
