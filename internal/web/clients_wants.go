package web

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/clients"
)

// wantNamed reads the client and the place of the want that the address names; −1 for a
// new one.
func (s *clientPages) wantNamed(r *http.Request) (shop.Client, int, error) {
	c, err := s.standingClient(r)
	if err != nil || r.PathValue("n") == "" {
		return c, -1, err
	}
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil || n < 1 || n > len(c.Wants) {
		return c, 0, fmt.Errorf("want %s of client %s: %w", r.PathValue("n"), c.ID, shop.ErrNotFound)
	}
	return c, n - 1, nil
}

func (s *clientPages) wantPage(w http.ResponseWriter, r *http.Request) error {
	c, n, err := s.wantNamed(r)
	if err != nil {
		return err
	}
	var want shop.Want
	if n >= 0 {
		want = c.Wants[n]
	}
	return s.wantForm(w, r, clients.WantForm{Client: c, N: n}, wanting.Of(r.Context(), wantOf(want)), http.StatusOK)
}

func (s *clientPages) wantForm(w http.ResponseWriter, r *http.Request, d clients.WantForm, f *form.Form[wantForm],
	status int) error {
	d.Frame = s.frame("clients", "What "+d.Client.Name+" wants")
	for _, m := range s.shop.Book(r.Context()).Makers {
		d.Makers = append(d.Makers, m.Name)
		for _, family := range m.Families {
			d.Families = append(d.Families, cmp.Or(family.Name, family.ID))
		}
		for _, ref := range m.References {
			d.References = append(d.References, ref.ID)
		}
	}
	offerMetals(f, s.metals(r.Context()))
	d.Form = &f.View
	w.WriteHeader(status)
	return clients.WantPage(d).Render(r.Context(), w)
}

func (s *clientPages) saveWant(w http.ResponseWriter, r *http.Request) error {
	c, n, err := s.wantNamed(r)
	if err != nil {
		return err
	}
	f, err := wanting.Read(r, wantForm{})
	if err != nil {
		return err
	}
	d := clients.WantForm{Client: c, N: n}
	want := f.V.want(&f.View)
	if !f.OK() {
		return s.wantForm(w, r, d, f, http.StatusUnprocessableEntity)
	}
	if n < 0 {
		_, _, err = s.shop.People.AddWant(r.Context(), c.ID, want)
	} else {
		_, err = s.shop.People.ChangeWant(r.Context(), c.ID, version(r), n, want)
	}
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			p.Field = p.Field[strings.LastIndex(p.Field, ".")+1:]
			f.Invalid(evidence.Problems{p}, nil)
		}
		return s.wantForm(w, r, d, f, http.StatusUnprocessableEntity)
	case errors.Is(err, shop.ErrConflict):
		d.Conflict = true
		return s.wantForm(w, r, d, f, http.StatusConflict)
	case err != nil:
		return err
	}
	http.Redirect(w, r, clients.Path(c.ID)+"?done=want#matches", http.StatusSeeOther)
	return nil
}

func (s *clientPages) endWant(w http.ResponseWriter, r *http.Request) error {
	c, n, err := s.wantNamed(r)
	if err != nil {
		return err
	}
	if _, err := s.shop.People.EndWant(r.Context(), c.ID, version(r), n); err != nil {
		return err
	}
	http.Redirect(w, r, clients.Path(c.ID)+"?done=ended#wants", http.StatusSeeOther)
	return nil
}
