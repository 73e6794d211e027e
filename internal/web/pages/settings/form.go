package settings

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/deal"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// Values are the settings as the form shows them.
func Values(s shop.Settings) map[string]string {
	t := s.Terms
	v := map[string]string{
		"wanted_margin": number100(t.WantedMargin), "confidence": number100(t.Confidence), "carrying": number100(t.CarryingRatePerYear), "fee": number100(t.SellingFeeShare),
		"fixed": number1(t.FixedCost), "tax": number100(t.Tax.Rate), "days": number1(t.TimeToSell.ScaleDays),
	}
	for _, p := range s.Spots {
		v["spot_"+p.Element] = p.PerTroyOunce.Amount()
		v["spot_date"] = p.Date
	}
	return v
}

func number1(x float64) string   { return strconv.FormatFloat(x, 'f', -1, 64) }
func number100(x float64) string { return number1(float64(int64(x*1e6+0.5)) / 1e4) }

// Measures are the fields that hold plain figures.
func Measures() []string {
	return []string{"wanted_margin", "confidence", "carrying", "fee", "tax", "days"}
}

// Amounts are the fields that hold money.
func Amounts() []string { return []string{"fixed", "spot_gold", "spot_silver", "spot_platinum"} }

// Read takes the settings from a form over those in force.
func Read(in shop.Settings, form func(string) string) (shop.Settings, evidence.Problems) {
	var p evidence.Problems
	out := in
	figure := func(name string, low, high, scale float64, into *float64) {
		text := strings.TrimSpace(form(name))
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(x >= low && x <= high) {
			p = append(p, evidence.Problem{Field: name, Found: strconv.Quote(text), Want: fmt.Sprintf("a number from %g to %g", low, high)})
			return
		}
		*into = x / scale
	}
	t := &out.Terms
	figure("wanted_margin", 0, 500, 100, &t.WantedMargin)
	figure("confidence", 1, 99, 100, &t.Confidence)
	figure("carrying", 0, 100, 100, &t.CarryingRatePerYear)
	figure("fee", 0, 90, 100, &t.SellingFeeShare)
	figure("fixed", 0, 1e6, 1, &t.FixedCost)
	figure("tax", 0, 90, 100, &t.Tax.Rate)
	figure("days", 1, 5000, 1, &t.TimeToSell.ScaleDays)
	basis := market.Basis(form("basis"))
	if basis.Definition() == "" {
		p = append(p, evidence.Problem{Field: "basis", Found: strconv.Quote(string(basis)), Want: "one of the list"})
	}
	out.Basis = basis
	switch s := form("scheme"); s {
	case deal.MarginTaxed, deal.Ordinary, deal.NoTax:
		t.Tax.Scheme = s
	default:
		p = append(p, evidence.Problem{Field: "scheme", Found: strconv.Quote(s), Want: "margin, ordinary or none"})
	}
	out.Spots = readSpots(in.Currency, form, &p)
	out.Locale, out.Inches = form("locale"), form("inches") != ""
	if known := func(l wording.Locale) bool { return l.Tag == out.Locale }; out.Locale != "" && !slices.ContainsFunc(wording.Locales(), known) {
		p = append(p, evidence.Problem{Field: "locale", Found: strconv.Quote(out.Locale), Want: "one of the list"})
	}
	return out, p
}

func readSpots(cur money.Currency, form func(string) string, p *evidence.Problems) []opinion.SpotPrice {
	var out []opinion.SpotPrice
	date := strings.TrimSpace(form("spot_date"))
	for _, element := range []string{"gold", "silver", "platinum"} {
		name := "spot_" + element
		text := strings.TrimSpace(form(name))
		if text == "" {
			continue
		}
		m, err := money.Parse(text, string(cur))
		if err != nil || m.Sign() <= 0 {
			*p = append(*p, evidence.Problem{Field: name, Found: strconv.Quote(text), Want: "a price above zero, such as 2400.00"})
			continue
		}
		out = append(out, opinion.SpotPrice{Element: element, PerTroyOunce: m, Date: date})
	}
	if _, err := time.Parse(time.DateOnly, date); len(out) > 0 && err != nil {
		*p = append(*p, evidence.Problem{Field: "spot_date", Found: strconv.Quote(date), Want: "the day of these prices, such as 2026-03-01"})
	}
	return out
}
