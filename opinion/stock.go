package opinion

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/deal"
	"midcase/market"
)

// MetalFall is a fall of a metal's premium to think about: By 0.2 is a fifth of it.
type MetalFall struct {
	Metal string
	By    float64
}

const (
	usualFall   = 0.2 // where no falls are asked for
	leastDearer = 0.1 // premium from which a metal's fall is worth a line
)

// allPrices names a fall of all prices, and generalFall the one that is shown where no
// falls are asked for.
const (
	allPrices   = "all"
	generalFall = 0.1
)

// StockWorth is what the watches of the stock come to together, looked ahead so many
// months from a day: how all prices move, and those of a metal beside, is the market
// model's own forecast, as in a value of that later day. Where falls is nil, a general fall
// by a tenth and one by a fifth of the premium of each dearer metal in stock are shown. A
// premium is that over the metal of which the stock has most.
func StockWorth(holdings []deal.Holding, m *market.Model, asOf time.Time, months float64, falls []MetalFall,
	seed uint64) (deal.PortfolioReport, error) {
	if m == nil {
		return deal.PortfolioReport{}, fmt.Errorf("stock: there are no sales to value by")
	}
	if !(months >= 0 && months <= 120) {
		return deal.PortfolioReport{}, fmt.Errorf("stock: months: found %g; want 0 to 120", months)
	}
	explained := m.Explain()
	ahead := m.Outlook(asOf, months)
	in := deal.PortfolioInput{Currency: m.Currency(), Months: months, Holdings: slices.Clone(holdings),
		CommonLogSD: ahead.Common.SD, MetalLogSDs: map[string]float64{}, Seed: seed}
	moved := map[string]float64{}
	for name, v := range ahead.Metals {
		in.MetalLogSDs[name], moved[strings.ToLower(name)] = v.SD, v.Mean
	}
	for i := range in.Holdings {
		h := &in.Holdings[i]
		h.LogMedian += ahead.Common.Mean + moved[strings.ToLower(strings.TrimSpace(h.Metal))]
	}
	metals := metalLevels(explained, holdings)
	if falls == nil {
		falls = append([]MetalFall{{allPrices, generalFall}}, usualFalls(holdings, metals)...)
	}
	for _, f := range falls {
		if strings.EqualFold(f.Metal, allPrices) {
			in.Falls = append(in.Falls, deal.Fall{All: true, By: f.By})
			continue
		}
		p, ok := premiumOf(metals, f.Metal)
		if !ok {
			return deal.PortfolioReport{}, fmt.Errorf("stock: metal %q: no sale of it is recorded; want one of %s",
				f.Metal, levelNames(metals))
		}
		in.Falls = append(in.Falls, deal.Fall{Metal: f.Metal, Premium: p, By: f.By})
	}
	return deal.Portfolio(in)
}

// metalLevel is a metal of the market with its price against that of the commonest
// metal in stock.
type metalLevel struct {
	name    string
	premium float64
}

func metalLevels(e market.Explanation, holdings []deal.Holding) []metalLevel {
	var out []metalLevel
	base, most := 1.0, 0
	for _, c := range e.Features {
		name, ok := strings.CutSuffix(c.Level, " now")
		if !ok || name == "" || c.Feature != "metal" {
			continue
		}
		out = append(out, metalLevel{name, 1 + c.Percent/100})
		if n := held(holdings, name); n > most {
			base, most = 1+c.Percent/100, n
		}
	}
	for i := range out {
		out[i].premium = out[i].premium/base - 1
	}
	return out
}

func held(holdings []deal.Holding, metal string) int {
	n := 0
	for _, h := range holdings {
		if strings.EqualFold(strings.TrimSpace(h.Metal), metal) {
			n++
		}
	}
	return n
}

func premiumOf(metals []metalLevel, name string) (float64, bool) {
	for _, l := range metals {
		if strings.EqualFold(l.name, strings.TrimSpace(name)) {
			return l.premium, true
		}
	}
	return 0, false
}

func levelNames(metals []metalLevel) string {
	var out []string
	for _, l := range metals {
		out = append(out, l.name)
	}
	return strings.Join(out, ", ")
}

// usualFalls names metals as the stock does.
func usualFalls(holdings []deal.Holding, metals []metalLevel) []MetalFall {
	var out []MetalFall
	for _, l := range metals {
		k := slices.IndexFunc(holdings, func(h deal.Holding) bool {
			return strings.EqualFold(strings.TrimSpace(h.Metal),
				l.name)
		})
		if k >= 0 && l.premium >= leastDearer {
			out = append(out, MetalFall{holdings[k].Metal, usualFall})
		}
	}
	return out
}
