package web

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/internal/web/form"
	dealpage "midcase/internal/web/pages/deal"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// dealPages show what to pay and what to ask.
type dealPages struct{ *site }

func (s *dealPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/deal", s.page(s.dealPage))
}

func (s *dealPages) dealPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	currency, wrong := s.currencyAsked(r)
	in, err := s.shop.SellingOf(ctx, record.ID, s.shop.Now(), currency)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) && currency != "" {
		wrong = form.Says(invalid.Problems[0])
		in, err = s.shop.SellingOf(ctx, record.ID, s.shop.Now(), "")
	}
	var unrated say.Statement
	if errors.As(err, &invalid) {
		unrated, err = leaveOutUnrated(&in.Settings), nil
	}
	if err != nil {
		return err
	}
	as := assumed{s: s.site, in: in}
	if err := as.read(r, wrong); err != nil {
		return err
	}
	d := dealpage.Data{Frame: s.frame("stock", "What to pay for "+record.Title), Watch: record,
		Currency: string(as.in.Settings.Currency), Form: &as.form.View,
		Margin: as.form.Field(&as.form.V.Margin).Value, Sure: as.form.Field(&as.form.V.Confidence).Value}
	d.Unrated = unrated
	if as.in.Settings.Time != nil {
		d.History = as.in.Settings.Time.Says
	}
	if d.Currency != string(s.shop.Currency()) {
		if one, err := money.Parse("100", string(s.shop.Currency())); err == nil {
			if m, err := s.shop.Turned(ctx, one, as.in.Settings.Currency,
				s.shop.Now().Format(time.DateOnly)); err == nil {
				d.Turned = say.That("pay.turned", say.Money("rate", m), say.Money("one", one))
			}
		}
	}
	if d.Routes, err = opinion.CompareRoutes(as.in); err != nil {
		return err
	}
	if d.Ladder, err = opinion.PriceLadder(as.in); err != nil {
		return err
	}
	if r.URL.RawQuery != "" {
		own, err := opinion.CompareRoutes(in)
		if err != nil {
			return err
		}
		d.Own = own.HighestPrice
	}
	if !d.Form.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return dealpage.Page(d).Render(ctx, w)
}

// leaveOutUnrated leaves amounts out that are in a currency without a rate, and says so.
func leaveOutUnrated(set *opinion.Settings) say.Statement {
	found := money.Currency("")
	for _, m := range []*money.Money{&set.Stock.Paid, &set.Stock.Asking, &set.Asked} {
		if !m.IsZero() && m.Currency() != set.Currency {
			found, *m = m.Currency(), money.Money{}
		}
	}
	return say.That("pay.unrated", say.Name("from", string(found)), say.Name("to", string(set.Currency)))
}

// currencyAsked is the currency of the address, empty for the shop's; wrong says why it will not do.
func (s *dealPages) currencyAsked(r *http.Request) (c money.Currency, wrong string) {
	text := strings.ToUpper(strings.TrimSpace(r.FormValue("currency")))
	if text == "" || text == string(s.shop.Currency()) {
		return "", ""
	}
	c, err := money.ParseCurrency(text)
	if err != nil {
		return "", "“" + text + "” is not a currency. Enter a code of three letters, for example CHF."
	}
	return c, ""
}

// dealForm are the assumptions of a deal: the shop's terms and what is on record of the watch, until something
// else is typed.
type dealForm struct {
	Price      money.Money `form:"price,keep" label:"Price asked of us" hint:"such as 5200, or 5200 CHF"`
	Margin     float64     `form:"margin,zero,keep" label:"Wanted margin" unit:"%" hint:"profit on the price paid" min:"0" max:"500"`
	Confidence float64     `form:"confidence,keep" label:"How sure of it" unit:"%" min:"1" max:"99"`
	Asking     money.Money `form:"asking,keep" label:"Our price now"`
	Days       float64     `form:"days,zero,keep" label:"Days on sale so far" min:"0" max:"36525"`
	dealMore   `group:"Money, tax, work, currency"`
}

type dealMore struct {
	Carrying float64 `form:"carrying,zero,keep" label:"Cost of money" unit:"% a year" min:"0" max:"1000"`
	Hurdle   float64 `form:"hurdle,zero,keep" label:"Money bound should earn" unit:"% a year" min:"0" max:"1000"`
	Scheme   string  `form:"scheme" label:"Tax on" choices:"margin|ordinary|none"`
	Tax      float64 `form:"tax,zero,keep" label:"Tax rate" unit:"%" min:"0" max:"90"`
	WorkLow  float64 `form:"work_low,zero,keep" label:"A service costs at least" min:"0" max:"1000000"`
	Work     float64 `form:"work,zero,keep" label:"most likely" min:"0" max:"1000000"`
	WorkHigh float64 `form:"work_high,zero,keep" label:"at most" min:"0" max:"1000000"`
	Currency string  `form:"currency,keep" label:"Calculate in" hint:"such as CHF"`
}

var dealing = form.Define[dealForm]("deal")

// dealStart are the assumptions before anything is typed.
func dealStart(in opinion.SellingInput) dealForm {
	t := in.Settings.Terms
	f := dealForm{Price: in.Settings.Stock.Paid, Margin: t.WantedMargin, Confidence: t.Confidence,
		Asking: in.Settings.Stock.Asking, Days: math.Round(in.Settings.Stock.DaysOnSale)}
	if f.Price.IsZero() {
		f.Price = in.Settings.Asked
	}
	f.dealMore = dealMore{Carrying: t.CarryingRatePerYear, Hurdle: t.HurdleRatePerYear, Scheme: t.Tax.Scheme, Tax: t.Tax.Rate,
		WorkLow: t.ServiceCost[0], Work: t.ServiceCost[1], WorkHigh: t.ServiceCost[2],
		Currency: string(in.Settings.Currency)}
	return f
}

// assumed are the assumptions of a request over the shop's.
type assumed struct {
	s    *site
	in   opinion.SellingInput
	form *form.Form[dealForm]
}

// read takes what the address says in place of the shop's terms. Where something is wrong it leaves them
// as they are. wrong is what is wrong with the currency.
func (a *assumed) read(r *http.Request, wrong string) (err error) {
	to := form.ReaderOf(r.Context())
	to.Currency = a.in.Settings.Currency
	r = r.WithContext(form.With(r.Context(), to))
	if a.form, err = dealing.Read(r, dealStart(a.in)); err != nil {
		return err
	}
	f, v := a.form, &a.form.V
	if !a.in.Settings.Stock.Paid.IsZero() {
		f.Field(&v.Price).Label = "Price paid"
	}
	if wrong != "" {
		f.Wrong(&v.Currency, wrong)
	}
	if v.WorkLow > v.Work || v.Work > v.WorkHigh {
		f.Wrong(&v.Work, "Enter a figure between the least and the most.")
	}
	a.turn(r.Context(), &v.Price)
	a.turn(r.Context(), &v.Asking)
	if f.OK() && r.URL.RawQuery != "" {
		a.take(*v)
	}
	return nil
}

// take puts the assumptions typed in place of the shop's.
func (a *assumed) take(v dealForm) {
	t := &a.in.Settings.Terms
	t.WantedMargin, t.Confidence, t.CarryingRatePerYear = v.Margin, v.Confidence, v.Carrying
	t.HurdleRatePerYear, t.Tax.Scheme, t.Tax.Rate = v.Hurdle, v.Scheme, v.Tax
	t.ServiceCost[0], t.ServiceCost[1], t.ServiceCost[2] = v.WorkLow, v.Work, v.WorkHigh
	a.in.Settings.Stock.DaysOnSale, a.in.Settings.Stock.Asking = v.Days, v.Asking
	if !a.in.Settings.Stock.Paid.IsZero() {
		a.in.Settings.Stock.Paid = v.Price
	} else {
		a.in.Settings.Asked = v.Price
	}
}

// turn turns an amount into the currency that is computed in.
func (a *assumed) turn(ctx context.Context, m *money.Money) {
	to := a.in.Settings.Currency
	if m.IsZero() || m.Currency() == to {
		return
	}
	turned, err := a.s.shop.Turned(ctx, *m, to, a.s.shop.Now().Format(time.DateOnly))
	if err != nil {
		a.form.Wrong(m, fmt.Sprintf("Our table has no rate for %s. Enter an amount in %s, or in a currency of the table.", m.Currency(), to))
		return
	}
	*m = turned
	a.form.Show(m)
}
