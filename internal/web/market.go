package web

import (
	"context"
	"net/http"

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
	mux.Handle("GET /sales/{id}", s.page(s.salePage))
}

func (s *marketPages) marketPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	count, err := s.shop.SaleCount(ctx)
	if err != nil {
		return err
	}
	d := market.Data{Frame: s.frame("market", "Market"), Sales: count, Of: r.FormValue("of"), Over: r.FormValue("over"), Maker: r.FormValue("maker")}
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
	name := "the whole market"
	if d.Maker != "" {
		name = d.Maker
	}
	d.Index = market.Series{Series: plot.Series{Name: "Price index of " + name, Unit: "first quarter = 100"}}
	points, err := m.Index(model.Scope{Maker: d.Maker})
	if err != nil {
		d.Index.Problem = "Cannot tell: " + err.Error() + "."
	}
	for _, p := range points {
		d.Index.Add(p.Quarter, p.Index, p.Interval, p.Sales)
	}
	d.Premium = market.Series{Series: plot.Series{Name: "Premium of " + metalName(d.Metals, d.Of) + " over " +
		metalName(d.Metals, d.Over), Unit: "per cent"}}
	premium, err := m.Premium("metal", d.Of, d.Over)
	if err != nil {
		d.Premium.Problem = "Cannot tell: " + err.Error() + "."
	}
	for _, p := range premium {
		d.Premium.Add(p.Quarter, 100*p.Premium, [2]float64{100 * p.Interval[0], 100 * p.Interval[1]}, p.Sales)
	}
}

func metalName(all []frame.Choice, id string) string {
	for _, c := range all {
		if c.Value == id {
			return c.Text
		}
	}
	return wording.Underscored(id)
}
