package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/market"
	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	model "midcase/market"
	"midcase/say"
)

// marketPages show the sales on record and what the market model makes of them.
type marketPages struct{ *site }

func (s *marketPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /market", s.page(s.marketPage))
	mux.Handle("GET /sales", s.page(s.salesPage))
	mux.Handle("GET /sales.csv", s.page(s.salesCSV))
	mux.Handle("GET /sales/suspects", s.page(s.suspectsPage))
	mux.Handle("GET /sales/import", s.page(s.importPage))
	mux.Handle("POST /sales/import", s.page(s.importSales))
	mux.Handle("POST /sales/own", s.page(s.addOwnSales))
	mux.Handle("GET /sales/{id}", s.page(s.salePage))
}

func (s *marketPages) marketPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	count, err := s.shop.SaleCount(ctx)
	if err != nil {
		return err
	}
	d := market.Data{Frame: s.frame("market", "Market"), Sales: count, Of: r.FormValue("of"), Over: r.FormValue("over"), Maker: r.FormValue("maker"),
		Family: r.FormValue("family"), Reference: strings.TrimSpace(r.FormValue("reference")),
		OverReference: strings.TrimSpace(r.FormValue("over_reference"))}
	set, err := s.shop.Settings(ctx)
	if err != nil {
		return err
	}
	d.Currency = string(set.Currency)
	prices, err := s.shop.PricesIn(ctx, s.shop.Now(), set.Currency)
	switch {
	case err != nil:
		d.Problem = err.Error() + "."
	case prices.Model != nil:
		s.fillMarket(ctx, &d, prices.Model)
	case prices.None.IsZero():
		d.Problem = "No sales yet."
	default:
		d.Problem = say.Capital(wording.Say(ctx, prices.None)) + "."
	}
	if prices.Model != nil && len(prices.Unrated) > 0 {
		d.LeftOut = wording.Say(ctx, shop.Unrated(prices.Unrated, set.Currency)) + "."
	}
	return market.Page(d).Render(ctx, w)
}

func (s *marketPages) fillMarket(ctx context.Context, d *market.Data, m *model.Model) {
	d.Metals, d.Makers = s.metals(ctx), nil
	for _, mk := range s.shop.Book(ctx).Makers {
		d.Makers = append(d.Makers, mk.Name)
	}
	if d.Of == "" {
		d.Of = "gold18"
	}
	if d.Over == "" {
		d.Over = "steel"
	}
	scope := model.Scope{Maker: d.Maker, Family: d.Family}
	for _, f := range m.Scopes(false) {
		d.Families = append(d.Families, frame.Choice{Value: f.Family, Text: f.Family + " (" + f.Maker + ")"})
	}
	references := m.Scopes(true)
	for _, f := range references {
		d.References = append(d.References, f.Maker+" "+f.Reference)
	}
	name, within := "the whole market", ""
	if scope != (model.Scope{}) {
		name, within = scope.String(), " within "+scope.String()
	}
	d.Index = market.Series{Series: plot.Series{Name: "Price index of " + name, Unit: "first quarter = 100"}}
	points, err := m.Index(scope)
	if err != nil {
		d.Index.Problem = "Cannot tell: " + err.Error() + "."
	}
	for _, p := range points {
		d.Index.Add(p.Quarter, p.Index, p.Interval, p.Sales)
	}
	premium, err := m.PremiumIn(scope, "metal", d.Of, d.Over)
	d.Premium = premiumSeries("Premium of "+metalName(d.Metals, d.Of)+" over "+metalName(d.Metals, d.Over)+within,
		premium, err)
	if d.Reference == "" && d.OverReference == "" {
		return
	}
	one, err := named(references, d.Reference)
	other, err2 := named(references, d.OverReference)
	if err = cmp.Or(err, err2); err == nil {
		premium, err = m.PremiumOver(one, other)
	}
	d.Between = premiumSeries(d.Reference+" over "+d.OverReference, premium, err)
}

func premiumSeries(name string, points []model.PremiumPoint, err error) market.Series {
	out := market.Series{Series: plot.Series{Name: name, Unit: "per cent"}}
	if err != nil {
		out.Problem = "Cannot tell: " + err.Error() + "."
		return out
	}
	for _, p := range points {
		out.Add(p.Quarter, 100*p.Premium, [2]float64{100 * p.Interval[0], 100 * p.Interval[1]}, p.Sales)
	}
	return out
}

// named finds a reference by the name of its maker and its own, or by its own alone.
func named(all []model.Scope, name string) (model.Scope, error) {
	var found []model.Scope
	for _, s := range all {
		switch {
		case strings.EqualFold(s.Maker+" "+s.Reference, name):
			return s, nil
		case strings.EqualFold(s.Reference, name):
			found = append(found, s)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return model.Scope{}, fmt.Errorf("reference “%s”: no sale of it is on record", name)
	}
	return model.Scope{}, fmt.Errorf("reference “%s”: several makers have it. Put the maker's name before it", name)
}

func metalName(all []frame.Choice, id string) string {
	for _, c := range all {
		if c.Value == id {
			return c.Text
		}
	}
	return wording.Underscored(id)
}
