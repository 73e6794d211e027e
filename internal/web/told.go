package web

import (
	"errors"
	"net/http"
	"slices"
	"strconv"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/told"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// listingPage shows what a buyer is told of a watch, in the form and language asked for.
func (s *watchPages) listingPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	asOf, _, err := s.asOf(r)
	if err != nil {
		return err
	}
	o, file, err := s.shop.OpinionOn(ctx, record.ID, asOf, opinion.Settings{})
	if err != nil {
		return err
	}
	subject, err := papers.SubjectOn(ctx, s.shop, record, o, file)
	if err != nil {
		return err
	}
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
	d.Told, err = papers.Tell(subject, d.For, d.Language, d.Length)
	if untold(err) {
		d.Problem, err = err.Error(), nil
	}
	if err != nil {
		return err
	}
	return told.Page(d).Render(ctx, w)
}

// untold reports whether a watch may not be told of, or not so shortly.
func untold(err error) bool {
	var refused *telling.Refused
	var left *telling.LeftOutError
	return errors.As(err, &refused) || errors.As(err, &left)
}
