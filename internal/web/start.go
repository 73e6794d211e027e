package web

import (
	"fmt"
	"net/http"
	"time"

	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/start"
	"midcase/money"
)

// startPages ask what a new shop has to say first, and take exchange rates.
type startPages struct{ *site }

func (s *startPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /start", s.page(s.startPage))
	mux.Handle("POST /start", s.page(s.start))
	mux.Handle("GET /rates", s.page(s.ratesPage))
	mux.Handle("POST /rates", s.page(s.setRate))
	mux.Handle("POST /rates/file", s.page(s.addRates))
}

// startForm are the three questions.
type startForm struct {
	Country  string `form:"country,needed" label:"Country" kind:"choice" hint:"gives the form of figures and days"`
	Currency string `form:"currency" label:"Base currency" kind:"choice" hint:"in which the books are kept"`
	Name     string `form:"name,needed" label:"Name of the shop" hint:"as it stands on papers"`
}

var starting = form.Define[startForm]("start")

// Prepare implements the choices of a form.
func (f *startForm) Prepare(v *form.View) {
	var countries []form.Option
	for _, c := range shop.Countries() {
		countries = append(countries, form.Option{Value: c.Code, Text: c.Name})
	}
	v.Offer(&f.Country, countries...)
	currencies := append([]form.Option{{Value: "", Text: "that of the country"}}, currencyOptions("")...)
	v.Offer(&f.Currency, currencies...)
}

// currencyOptions are the currencies in use, but for one.
func currencyOptions(without money.Currency) []form.Option {
	var out []form.Option
	for _, c := range money.InUse() {
		if c != without {
			out = append(out, form.Option{Value: string(c), Text: string(c)})
		}
	}
	return out
}

func (s *startPages) startPage(w http.ResponseWriter, r *http.Request) error {
	now, found, err := s.shop.Founding(r.Context())
	if err != nil {
		return err
	}
	var f startForm
	if found {
		f = startForm{now.Country, string(now.Currency), now.Name}
	}
	return s.showStart(w, r, starting.Of(r.Context(), f), found)
}

func (s *startPages) showStart(w http.ResponseWriter, r *http.Request, f *form.Form[startForm], found bool) error {
	booked, err := s.shop.Booked(r.Context())
	if err != nil {
		return err
	}
	if booked {
		f.Offer(&f.V.Currency, form.Plain(string(s.shop.Currency()))...)
	}
	d := start.Data{Frame: s.frame("settings", "New shop"), Form: &f.View, Founded: found, Fixed: booked,
		Base: string(s.shop.Currency())}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return start.Page(d).Render(r.Context(), w)
}

func (s *startPages) start(w http.ResponseWriter, r *http.Request) error {
	_, found, err := s.shop.Founding(r.Context())
	if err != nil {
		return err
	}
	f, err := starting.Read(r, startForm{})
	if err != nil {
		return err
	}
	if f.OK() {
		err = s.shop.Found(r.Context(), shop.Founding{Country: f.V.Country, Currency: money.Currency(f.V.Currency),
			Name: f.V.Name})
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.showStart(w, r, f, found)
	}
	if err != nil {
		return err
	}
	led := "/"
	if found {
		led = "/settings"
	}
	http.Redirect(w, r, led, http.StatusSeeOther)
	return nil
}

// quoteForm is one rate, as it stands in a newspaper.
type quoteForm struct {
	Day      string  `form:"day,needed" label:"Day" kind:"day"`
	Currency string  `form:"currency,needed" label:"1 unit of" kind:"choice"`
	Rate     float64 `form:"rate,needed" label:"is worth" min:"0.00000001" max:"1000000000"`
}

type rateFile struct {
	File form.File `form:"file,needed" label:"File" accept:".csv,.tsv,.txt,.xlsx,text/csv" want:"a file" hint:"a column Date and one column a currency, as central banks publish them: USD for units per 1 EUR, “1 USD” or “100 JPY” for their worth in your currency; with a first column “Date per USD” units per 1 USD"`
}

var (
	typingRate = form.Define[quoteForm]("rate")
	addingFile = form.Define[rateFile]("rates file")
)

func (s *startPages) ratesPage(w http.ResponseWriter, r *http.Request) error {
	one := typingRate.Of(r.Context(), quoteForm{Day: s.shop.Now().Format(time.DateOnly)})
	return s.showRates(w, r, one, addingFile.Of(r.Context(), rateFile{}))
}

func (s *startPages) showRates(w http.ResponseWriter, r *http.Request, one *form.Form[quoteForm],
	file *form.Form[rateFile]) error {
	base := s.shop.Currency()
	one.Offer(&one.V.Currency, currencyOptions(base)...)
	one.Field(&one.V.Rate).Unit = string(base)
	set, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	d := start.Rates{Frame: s.frame("settings", "Exchange rates"), One: &one.View, File: &file.View,
		Base: string(base), Values: string(set.Currency)}
	rates, err := s.shop.Rates(r.Context())
	if err != nil {
		return err
	}
	if rates != nil {
		d.Latest = rates.Latest(base)
	}
	if n := r.FormValue("added"); n != "" {
		d.Saved = n + " rates added."
	}
	if !one.OK() || !file.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return start.RatesPage(d).Render(r.Context(), w)
}

func (s *startPages) setRate(w http.ResponseWriter, r *http.Request) error {
	f, err := typingRate.Read(r, quoteForm{})
	if err != nil {
		return err
	}
	if f.OK() {
		err = s.shop.SetRate(r.Context(), f.V.Day, money.Currency(f.V.Currency), f.V.Rate)
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.showRates(w, r, f, addingFile.Of(r.Context(), rateFile{}))
	}
	if err != nil {
		return err
	}
	if _, err := s.shop.Imports.BookLate(r.Context(), s.user(r.Context())); err != nil {
		return err
	}
	http.Redirect(w, r, "/rates", http.StatusSeeOther)
	return nil
}

func (s *startPages) addRates(w http.ResponseWriter, r *http.Request) error {
	f, err := addingFile.Read(r, rateFile{})
	if err != nil {
		return err
	}
	n := 0
	if f.OK() {
		file, err := f.V.File.Open()
		if err != nil {
			return fmt.Errorf("rates: %w", err)
		}
		defer file.Close()
		if n, err = s.shop.ImportRates(r.Context(), file); err != nil && !f.Refused(err, nil) {
			return err
		}
	}
	if !f.OK() {
		return s.showRates(w, r, typingRate.Of(r.Context(), quoteForm{Day: s.shop.Now().Format(time.DateOnly)}), f)
	}
	if _, err := s.shop.Imports.BookLate(r.Context(), s.user(r.Context())); err != nil {
		return err
	}
	http.Redirect(w, r, fmt.Sprintf("/rates?added=%d", n), http.StatusSeeOther)
	return nil
}
