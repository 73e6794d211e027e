package web

import (
	"errors"
	"net/http"
	"strconv"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/change"
	"midcase/internal/web/pages/stock"
)

func (s *Server) changePage(w http.ResponseWriter, r *http.Request) error {
	record, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	return s.changeForm(w, r, change.Data{Watch: record, Values: change.Values(record)}, http.StatusOK)
}

func (s *Server) changeForm(w http.ResponseWriter, r *http.Request, d change.Data, status int) error {
	d.Frame = s.frame("stock", "State and price of "+d.Watch.Title)
	all, _, err := s.shop.Stock(r.Context())
	if err != nil {
		return err
	}
	d.Places = stock.Offer(all, s.shop.Book(r.Context())).Places
	w.WriteHeader(status)
	return change.Page(d).Render(r.Context(), w)
}

// saveChange writes the record over the version that the form was made of. Where
// somebody else was quicker, the form comes again with both.
func (s *Server) saveChange(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	typed := map[string]string{}
	for name := range change.Values(record) {
		typed[name] = r.PostFormValue(name)
	}
	d := change.Data{Watch: record, Values: typed}
	version, err := strconv.Atoi(r.PostFormValue("version"))
	if err != nil {
		return &shop.Invalid{What: "change a watch", Problems: evidence.Problems{{Field: "version", Found: strconv.Quote(r.PostFormValue("version")), Want: "the version that the form was made of"}}}
	}
	plain, problems := readFigures(ctx, typed, nil, []string{"asking", "cost", "asked"})
	changed, more := change.Read(record, s.shop.Currency(), plain)
	if problems = append(problems, more...); len(problems) > 0 {
		d.Watch.Version, d.Problems = version, problems
		return s.changeForm(w, r, d, http.StatusUnprocessableEntity)
	}
	changed.Version = version
	if _, err = s.shop.Trade.Change(ctx, changed); errors.Is(err, shop.ErrConflict) {
		now, err := s.shop.Watch(ctx, record.ID)
		if err != nil {
			return err
		}
		d.Watch, d.Theirs = now, change.Differences(change.Values(changed), change.Values(now))
		return s.changeForm(w, r, d, http.StatusConflict)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(record.ID)+"?changed=1", http.StatusSeeOther)
	return nil
}
