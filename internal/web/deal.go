package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/change"
	dealpage "midcase/internal/web/pages/deal"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/life"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/opinion"
)

// deal serves the page of what to pay and what to ask.
func (s *Server) deal(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/deal", s.page(s.dealPage))
}

func (s *Server) dealPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	currency, problems := s.currencyAsked(r)
	in, err := s.shop.SellingOf(ctx, record.ID, s.shop.Now(), currency)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) && currency != "" {
		problems = append(problems, invalid.Problems...)
		in, err = s.shop.SellingOf(ctx, record.ID, s.shop.Now(), "")
	}
	if err != nil {
		return err
	}
	as := assumed{s: s, r: r, in: in, values: dealValues(in)}
	as.read(problems)
	d := dealpage.Data{Frame: s.frame("stock", "What to pay for "+record.Title), Watch: record, Currency: string(as.in.Settings.Currency), Wrong: len(as.problems) > 0,
		Margin: as.shown("margin"), Sure: as.shown("confidence")}
	if as.in.Time != nil {
		d.History = as.in.Time.Says
	}
	if d.Currency != string(s.shop.Currency()) {
		if one, err := money.Parse("100", string(s.shop.Currency())); err == nil {
			if m, err := s.shop.Turned(ctx, one, as.in.Settings.Currency, s.shop.Now().Format(time.DateOnly)); err == nil {
				d.Turned = fmt.Sprintf("The shop's terms and prices were turned at the latest rate of its table, %s for 100 %s.", m, s.shop.Currency())
			}
		}
	}
	d.Groups, _ = life.Fill(s.dealFields(as.in), as.values, as.problems)
	d.Groups[1].Open = len(as.problems) > 0
	if d.Routes, err = opinion.CompareRoutes(as.in); err != nil {
		return err
	}
	if d.Ladder, err = opinion.PriceLadder(as.in); err != nil {
		return err
	}
	if d.Wrong {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return dealpage.Page(d).Render(ctx, w)
}

// currencyAsked is the currency of the address, empty for the shop's.
func (s *Server) currencyAsked(r *http.Request) (money.Currency, evidence.Problems) {
	text := strings.ToUpper(strings.TrimSpace(r.FormValue("currency")))
	if text == "" || text == string(s.shop.Currency()) {
		return "", nil
	}
	c, err := money.ParseCurrency(text)
	if err != nil {
		return "", evidence.Problems{{Field: "currency", Found: strconv.Quote(text), Want: "an ISO 4217 code such as CHF"}}
	}
	return c, nil
}

// dealValues are the assumptions as the form shows them.
func dealValues(in opinion.SellingInput) map[string]string {
	t := in.Settings.Terms
	v := map[string]string{
		"margin": percent(t.WantedMargin), "confidence": percent(t.Confidence), "carrying": percent(t.CarryingRatePerYear), "scheme": t.Tax.Scheme, "tax": percent(t.Tax.Rate),
		"currency": string(in.Settings.Currency), "days": number(in.Stock.DaysOnSale),
	}
	price := in.Stock.Paid
	if price.IsZero() {
		price = in.Settings.Asked
	}
	for name, m := range map[string]money.Money{"price": price, "asking": in.Stock.Asking} {
		if !m.IsZero() {
			v[name] = m.String()
		}
	}
	for i, name := range []string{"work_low", "work", "work_high"} {
		v[name] = number(t.ServiceCost[i])
	}
	return v
}

func percent(share float64) string { return number(float64(int64(share*1e6+0.5)) / 1e4) }

func number(v float64) string {
	return strconv.FormatFloat(float64(int64(v*100+0.5))/100, 'f', -1, 64)
}

// assumed are the assumptions of a request over the shop's.
type assumed struct {
	s        *Server
	r        *http.Request
	in       opinion.SellingInput
	values   map[string]string
	problems evidence.Problems
}

func (a *assumed) shown(name string) string { return a.values[name] }

// read takes what the address says in place of the shop's terms. Where something is wrong it leaves them
// as they are.
func (a *assumed) read(problems evidence.Problems) {
	a.problems = problems
	if a.r.URL.RawQuery == "" {
		return
	}
	set, t := a.in, a.in.Settings.Terms
	a.number("margin", 0, 500, 100, &t.WantedMargin)
	a.number("confidence", 1, 99, 100, &t.Confidence)
	a.number("carrying", 0, 1000, 100, &t.CarryingRatePerYear)
	a.number("tax", 0, 90, 100, &t.Tax.Rate)
	a.number("days", 0, 36525, 1, &set.Stock.DaysOnSale)
	for i, name := range []string{"work_low", "work", "work_high"} {
		a.number(name, 0, 1e6, 1, &t.ServiceCost[i])
	}
	if c := t.ServiceCost; c[0] > c[1] || c[1] > c[2] {
		a.wrong("work", number(c[1]), "a figure between the least and the most")
	}
	if v, ok := a.typed("scheme"); ok {
		if v != deal.MarginTaxed && v != deal.Ordinary && v != deal.NoTax {
			a.wrong("scheme", strconv.Quote(v), "margin, ordinary or none")
		}
		t.Tax.Scheme = v
	}
	if v, ok := a.typed("currency"); ok && v != "" {
		a.values["currency"] = strings.ToUpper(v)
	}
	if m, ok := a.money("price"); ok {
		if !set.Stock.Paid.IsZero() {
			set.Stock.Paid = m
		} else {
			set.Settings.Asked = m
		}
	}
	if m, ok := a.money("asking"); ok {
		set.Stock.Asking = m
	}
	if len(a.problems) == 0 {
		a.in = set
		a.in.Settings.Terms = t
	}
}

// typed is what the address says of a field; ok is false where it does not name it.
func (a *assumed) typed(name string) (string, bool) {
	if !a.r.URL.Query().Has(name) {
		return "", false
	}
	v := strings.TrimSpace(a.r.URL.Query().Get(name))
	a.values[name] = v
	return v, true
}

func (a *assumed) wrong(field, found, want string) {
	a.problems = append(a.problems, evidence.Problem{Field: field, Found: found, Want: want})
}

func (a *assumed) number(name string, low, high, scale float64, into *float64) {
	text, ok := a.typed(name)
	if !ok || text == "" {
		return
	}
	plain, err := wording.ReaderOf(a.r.Context()).Locale.Measure(text)
	if err != nil {
		a.wrong(name, err.Error(), "a figure that can be read one way")
		return
	}
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || !(v >= low && v <= high) {
		a.wrong(name, strconv.Quote(text), fmt.Sprintf("a number from %g to %g", low, high))
		return
	}
	*into = v / scale
}

// money reads an amount, turned into the currency that is reckoned in.
func (a *assumed) money(name string) (money.Money, bool) {
	text, ok := a.typed(name)
	if !ok || text == "" {
		return money.Money{}, false
	}
	to := a.in.Settings.Currency
	plain, err := wording.ReaderOf(a.r.Context()).Locale.AmountOf(text)
	if err != nil {
		a.wrong(name, err.Error(), "an amount that can be read one way")
		return money.Money{}, false
	}
	m, err := change.Money(plain, to)
	if err != nil {
		a.wrong(name, strconv.Quote(text), "an amount above zero, such as 6500 or 6500 CHF")
		return money.Money{}, false
	}
	if m.Currency() != to {
		turned, err := a.s.shop.Turned(a.r.Context(), m, to, a.s.shop.Now().Format(time.DateOnly))
		if err != nil {
			a.wrong(name, strconv.Quote(text), "an amount in "+string(to)+", or in a currency of the shop's table of rates")
			return money.Money{}, false
		}
		m = turned
		a.values[name] = m.String()
	}
	return m, true
}

// dealFields are the questions of the assumptions.
func (s *Server) dealFields(in opinion.SellingInput) []life.Inputs {
	price := life.Field{Name: "price", Label: "Price asked of us", Kind: "money", Hint: "such as 5200, or 5200 CHF"}
	if !in.Stock.Paid.IsZero() {
		price.Label = "Price paid"
	}
	schemes := []frame.Choice{{Value: deal.MarginTaxed, Text: "margin"}, {Value: deal.Ordinary, Text: "ordinary"}, {Value: deal.NoTax, Text: "none"}}
	return []life.Inputs{
		{Fields: []life.Field{price, {Name: "margin", Label: "Wanted margin, %", Kind: "number", Hint: "profit as a share of the price paid"}, {Name: "confidence", Label: "With a confidence of, %", Kind: "number"},
			{Name: "asking", Label: "We ask now", Kind: "money", Hint: "empty: not on sale"}, {Name: "days", Label: "Days on sale so far", Kind: "number"}}},
		{Title: "Money, tax, work, currency", Fields: []life.Field{{Name: "carrying", Label: "Cost of money, % a year", Kind: "number"}, {Name: "scheme", Label: "Tax on", Kind: "select", Options: schemes}, {Name: "tax", Label: "Tax rate, %", Kind: "number"},
			{Name: "work_low", Label: "A service costs at least", Kind: "number"}, {Name: "work", Label: "most likely", Kind: "number"}, {Name: "work_high", Label: "at most", Kind: "number"}, {Name: "currency", Label: "Reckon in", Hint: "such as CHF"}}},
	}
}
