package web

import (
	"cmp"
	"context"
	"net/http"
	"slices"

	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/market"
	"midcase/internal/web/pages/plot"
	"midcase/internal/web/pages/wording"
	model "midcase/market"
)

func (s *Server) marketPage(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	count, err := s.shop.SaleCount(ctx)
	if err != nil {
		return err
	}
	d := market.Data{Frame: s.frame("market", "Market"), Sales: count, Currency: string(s.shop.Currency()),
		Of: r.FormValue("of"), Over: r.FormValue("over"), Maker: r.FormValue("maker")}
	m, err := s.shop.Market(ctx, s.shop.Now())
	switch {
	case err != nil:
		d.Problem = err.Error() + "."
	case m == nil:
		d.Problem = "There are no sales on record yet."
	default:
		s.fillMarket(ctx, &d, m)
	}
	return market.Page(d).Render(ctx, w)
}

func (s *Server) fillMarket(ctx context.Context, d *market.Data, m *model.Model) {
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

// metals lists the metals that the book names, once each.
func (s *Server) metals(ctx context.Context) []frame.Choice {
	var out []frame.Choice
	for _, mk := range s.shop.Book(ctx).Makers {
		for _, x := range mk.Metals {
			known := slices.ContainsFunc(out, func(c frame.Choice) bool { return c.Value == x.ID })
			if !known {
				out = append(out, frame.Choice{Value: x.ID, Text: cmp.Or(x.Name, wording.Underscored(x.ID))})
			}
		}
	}
	slices.SortFunc(out, func(a, b frame.Choice) int { return cmp.Compare(a.Text, b.Text) })
	return out
}

func metalName(all []frame.Choice, id string) string {
	for _, c := range all {
		if c.Value == id {
			return c.Text
		}
	}
	return wording.Underscored(id)
}
