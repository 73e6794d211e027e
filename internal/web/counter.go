package web

import (
	"errors"
	"fmt"
	"net/http"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/counter"
)

// inquiry reads the six inputs of the counter.
func (s *Server) inquiry(r *http.Request) (map[string]string, desk.Inquiry, evidence.Problems) {
	values := map[string]string{}
	for _, name := range counter.Names() {
		values[name] = r.FormValue(name)
	}
	plain, problems := readFigures(r.Context(), values, nil, []string{"asked"})
	q, more := counter.Read(plain, s.shop.Currency(), s.shop.Now().Year())
	return values, q, append(problems, more...)
}

func (s *Server) counterPage(w http.ResponseWriter, r *http.Request) error {
	values, q, problems := s.inquiry(r)
	d := counter.Data{Values: values, Problems: problems}
	if q.Reference == "" || len(problems) > 0 {
		return s.counterForm(w, r, d)
	}
	offer, err := s.shop.Desk.Counter(r.Context(), q, s.shop.Now())
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &invalid):
		d.Problems = invalid.Problems
	case err != nil:
		return err
	default:
		d.Offer = &offer
		if q.Year != 0 {
			d.ReadAs = fmt.Sprintf(", made about %d", q.Year)
		}
	}
	return s.counterForm(w, r, d)
}

func (s *Server) counterForm(w http.ResponseWriter, r *http.Request, d counter.Data) error {
	d.Frame = s.frame("counter", "Counter offer")
	d.Metals = s.metals(r.Context())
	for _, m := range s.shop.Book(r.Context()).Makers {
		for _, ref := range m.References {
			d.References = append(d.References, m.Name+" "+ref.ID)
		}
	}
	if len(d.Problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return counter.Page(d).Render(r.Context(), w)
}

// counterTakeIn makes a watch file of what was asked at the counter.
func (s *Server) counterTakeIn(w http.ResponseWriter, r *http.Request) error {
	values, q, problems := s.inquiry(r)
	if len(problems) > 0 {
		return s.counterForm(w, r, counter.Data{Values: values, Problems: problems})
	}
	kept, err := s.shop.Desk.TakeInInquiry(r.Context(), q, s.user(r.Context()))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.counterForm(w, r, counter.Data{Values: values, Problems: invalid.Problems})
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(kept.ID), http.StatusSeeOther)
	return nil
}
