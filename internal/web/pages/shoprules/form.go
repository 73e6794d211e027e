package shoprules

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"midcase/deal"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/change"
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/life"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// Fields are the questions of the form: the local rules, tax, the routes, and how buyers haggle.
func Fields(terms opinion.SellingTerms, currency money.Currency) (rules, tax, haggling []life.Inputs, routes []RouteInputs) {
	whole := func(name, label, hint string) life.Field {
		return life.Field{Name: name, Label: label, Kind: "number", Hint: hint}
	}
	rules = []life.Inputs{{Fields: []life.Field{{Name: "place", Label: "Place", Hint: "whose rules these are, in your words"}, whole("hold_days", "Days to hold", "between buying and selling; 0: none"), whole("register_days", "A look-up may be so many days old", "in a register of lost and stolen watches; 0: not asked for"),
		{Name: "cash_limit", Label: "Cash of one client at most", Kind: "money", Hint: "such as 10000 EUR; empty: no limit"}, whole("cash_months", "counted over so many months", ""), whole("keep_years", "Books are kept so many years", ""),
		{Name: "identity", Label: "The seller's identity must be on record", Kind: "check"}, {Name: "statement", Label: "A statement of ownership must be on record", Kind: "check"},
		{Name: "straps", Label: "Straps of protected animals: what to think of", Kind: "area", Broad: true}, {Name: "lume", Label: "Radium and tritium: what to think of when it is sent", Kind: "area", Broad: true},
		{Name: "headings", Label: "Customs headings", Kind: "area", Hint: "one a line, such as 9101: case wholly of precious metal", Broad: true}, {Name: "sources", Label: "Where this is from", Kind: "area", Hint: "one a line", Broad: true}}}}
	tax = []life.Inputs{{Fields: []life.Field{{Name: "scheme", Label: "Usual tax scheme", Kind: "select", Options: []frame.Choice{{Value: deal.MarginTaxed, Text: "margin: on the margin only"}, {Value: deal.Ordinary, Text: "ordinary: on the whole price"}, {Value: deal.NoTax, Text: "none"}}}, whole("tax", "Tax rate, %", "")}}}
	for i, r := range terms.Routes {
		p := fmt.Sprintf("r%d_", i)
		fields := []life.Field{whole(p+"commission", "Commission, % of the sale", ""), whole(p+"commission_tax", "Tax on the commission, %", "where it cannot be reclaimed"), whole(p+"other", "Other costs, % of the sale", ""),
			{Name: p + "fixed", Label: "Fixed costs, " + string(currency), Kind: "number", Hint: "photographs, insurance, carriage"}, whole(p+"days", "Days to sell, typical", "empty: by the shop's own history")}
		if r.Name == deal.Auction {
			fields = append(fields, whole(p+"premium", "Buyer's premium, %", "empty: prices are hammer prices"), whole(p+"premium_to", "up to a price of", "empty: the whole price"), whole(p+"premium_above", "and above it, %", ""), whole(p+"premium_tax", "Tax on the premium, %", ""))
		}
		routes = append(routes, RouteInputs{r.Name, r.Basis.Definition(), []life.Inputs{{Fields: fields}}})
	}
	haggling = []life.Inputs{{Fields: []life.Field{whole("discount", "Usual last step down, %", "of the price agreed on"), whole("pass", "Of an ask above the value is got, %", "50: asking 10 % more gets 5 %"), whole("over", "Nobody pays more over the value than, %", ""),
		whole("patience", "Days on sale before it is given up", "0: never"), whole("given_up", "It then brings of its value, %", ""), whole("together", "Prices of the routes move together, %", "correlation: 50 is about half the uncertainty")}}}
	return rules, tax, haggling, routes
}

// RouteInputs are the questions of one route.
type RouteInputs struct {
	Name, Basis string
	Groups      []life.Inputs
}

func percent(v float64) string { return number(100 * v) }

func number(v float64) string {
	if v == 0 {
		return "0"
	}
	return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64)
}

// commissionOf and otherOf part the fees of a route into those two of the form.
func commissionOf(r opinion.RouteTerms) deal.Fee {
	if i := slices.IndexFunc(r.Fees, func(f deal.Fee) bool { return f.Name == "commission" }); i >= 0 {
		return r.Fees[i]
	}
	return deal.Fee{}
}

func otherOf(r opinion.RouteTerms) deal.Fee {
	out := deal.Fee{}
	for _, f := range r.Fees {
		if f.Name != "commission" {
			out.ShareOfSale += f.ShareOfSale
			out.Fixed += f.Fixed
		}
	}
	return out
}

// RuleValues are local rules as the form shows them.
func RuleValues(r shop.LocalRules) map[string]string {
	v := map[string]string{"place": r.Place, "hold_days": strconv.Itoa(r.HoldDays), "register_days": strconv.Itoa(r.RegisterDays), "cash_months": strconv.Itoa(r.CashMonths), "keep_years": strconv.Itoa(r.KeepYears),
		"straps": r.Straps, "lume": r.Lume, "sources": strings.Join(r.Sources, "\n"), "identity": tick(r.Identity), "statement": tick(r.Statement)}
	if !r.CashLimit.IsZero() {
		v["cash_limit"] = r.CashLimit.String()
	}
	var lines []string
	for _, h := range r.Headings {
		lines = append(lines, h.Heading+": "+h.When)
	}
	v["headings"] = strings.Join(lines, "\n")
	return v
}

func tick(b bool) string {
	if b {
		return "1"
	}
	return ""
}

// TermValues are tax and terms of selling as the form shows them.
func TermValues(t opinion.SellingTerms, tax deal.Tax) map[string]string {
	h := t.Haggling
	v := map[string]string{"scheme": tax.Scheme, "tax": percent(tax.Rate), "discount": percent(h.Discount), "pass": percent(h.PassThrough), "over": percent(h.MostOver), "patience": number(h.PatienceDays), "given_up": percent(h.GivenUp),
		"together": percent(t.Together)}
	for i, r := range t.Routes {
		p := fmt.Sprintf("r%d_", i)
		c, o := commissionOf(r), otherOf(r)
		v[p+"commission"], v[p+"commission_tax"], v[p+"other"], v[p+"fixed"] = percent(c.ShareOfSale), percent(c.TaxRate), percent(o.ShareOfSale), number(o.Fixed+c.Fixed)
		if r.TimeToSell.ScaleDays > 0 {
			v[p+"days"] = number(r.TimeToSell.ScaleDays)
		}
		if tiers := r.BuyersPremium.Tiers; len(tiers) > 0 {
			v[p+"premium"], v[p+"premium_tax"] = percent(tiers[0].Share), percent(r.BuyersPremium.TaxRate)
			if len(tiers) > 1 {
				v[p+"premium_to"], v[p+"premium_above"] = number(tiers[1].Over), percent(tiers[1].Share)
			}
		}
	}
	return v
}

// reader takes figures from a form and notes what is wrong.
type reader struct {
	form func(string) string
	p    evidence.Problems
}

func (r *reader) text(name string) string { return strings.TrimSpace(r.form(name)) }

func (r *reader) wrong(name, want string) {
	r.p = append(r.p, evidence.Problem{Field: name, Found: strconv.Quote(r.text(name)), Want: want})
}

func (r *reader) number(name string, low, high float64) float64 {
	text := r.text(name)
	if text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= low && v <= high) {
		r.wrong(name, fmt.Sprintf("a number from %g to %g", low, high))
		return 0
	}
	return v
}

func (r *reader) share(name string) float64 { return r.number(name, 0, 95) / 100 }

func (r *reader) whole(name string) int {
	text := r.text(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 0 || n > 10_000 {
		r.wrong(name, "a whole number from 0 to 10000")
	}
	return n
}

func (r *reader) lines(name string) []string {
	var out []string
	for line := range strings.Lines(r.form(name)) {
		if line = strings.TrimSpace(line); line != "" {
			out = append(out, line)
		}
	}
	return out
}

// ReadRules makes local rules of what was typed.
func ReadRules(form func(string) string, currency money.Currency) (shop.LocalRules, evidence.Problems) {
	r := &reader{form: form}
	out := shop.LocalRules{Place: r.text("place"), HoldDays: r.whole("hold_days"), RegisterDays: r.whole("register_days"), CashMonths: r.whole("cash_months"), KeepYears: r.whole("keep_years"),
		Identity: r.text("identity") != "", Statement: r.text("statement") != "", Straps: r.text("straps"), Lume: r.text("lume"), Sources: r.lines("sources")}
	if out.Place == "" {
		r.wrong("place", "a name for these rules, such as the place")
	}
	var err error
	if out.CashLimit, err = change.Money(r.text("cash_limit"), currency); err != nil {
		r.wrong("cash_limit", "an amount above zero, such as 10000 EUR, or nothing")
	}
	for _, line := range r.lines("headings") {
		heading, when, ok := strings.Cut(line, ":")
		if !ok || strings.TrimSpace(heading) == "" || strings.TrimSpace(when) == "" {
			r.wrong("headings", "lines such as 9101: case wholly of precious metal")
			break
		}
		out.Headings = append(out.Headings, shop.Heading{Heading: strings.TrimSpace(heading), When: strings.TrimSpace(when)})
	}
	return out, r.p
}

// ReadTerms makes tax and terms of selling of what was typed over those in force.
func ReadTerms(form func(string) string, now opinion.SellingTerms, tax deal.Tax) (opinion.SellingTerms, deal.Tax, evidence.Problems) {
	r := &reader{form: form}
	out := opinion.SellingTerms{Together: r.number("together", 0, 100) / 100}
	out.Haggling = deal.Haggling{Discount: r.share("discount"), PassThrough: r.number("pass", 0, 100) / 100, MostOver: r.number("over", 0, 500) / 100, PatienceDays: r.number("patience", 0, 3650), GivenUp: r.number("given_up", 1, 100) / 100}
	tax.Rate = r.number("tax", 0, 90) / 100
	if s := r.text("scheme"); s == deal.MarginTaxed || s == deal.Ordinary || s == deal.NoTax {
		tax.Scheme = s
	} else {
		r.wrong("scheme", "margin, ordinary or none")
	}
	for i, route := range now.Routes {
		p := fmt.Sprintf("r%d_", i)
		one := opinion.RouteTerms{Name: route.Name, Basis: route.Basis, Tax: route.Tax}
		if c := (deal.Fee{Name: "commission", ShareOfSale: r.share(p + "commission"), TaxRate: r.number(p+"commission_tax", 0, 90) / 100}); c.ShareOfSale > 0 {
			one.Fees = append(one.Fees, c)
		}
		if o := (deal.Fee{Name: "selling costs", ShareOfSale: r.share(p + "other"), Fixed: r.number(p+"fixed", 0, 1e6)}); o.ShareOfSale > 0 || o.Fixed > 0 {
			one.Fees = append(one.Fees, o)
		}
		if days := r.number(p+"days", 1, 5000); days > 0 {
			one.TimeToSell = deal.Weibull{Shape: shapeOf(route), ScaleDays: days}
		}
		if route.Name == deal.Auction {
			r.premium(p, &one)
		}
		share := 0.0
		for _, f := range one.Fees {
			share += f.ShareOfSale * (1 + f.TaxRate)
		}
		if share >= 0.95 {
			r.wrong(p+"commission", "commission and costs that leave something of the price")
		}
		out.Routes = append(out.Routes, one)
	}
	return out, tax, r.p
}

// shapeOf keeps the shape of a route's time to sell; a route that had none gets that of a constant
// chance a day.
func shapeOf(r opinion.RouteTerms) float64 {
	if r.TimeToSell.Shape > 0 {
		return r.TimeToSell.Shape
	}
	return 1
}

// premium reads a buyer's premium. With one, prices are taken as the buyer pays them.
func (r *reader) premium(p string, one *opinion.RouteTerms) {
	one.Basis = market.AuctionHammer
	first := r.share(p + "premium")
	if first == 0 {
		return
	}
	one.Basis = market.AuctionAllIn
	one.BuyersPremium = deal.BuyersPremium{Tiers: []deal.Tier{{Over: 0, Share: first}}, TaxRate: r.number(p+"premium_tax", 0, 90) / 100}
	if to := r.number(p+"premium_to", 1, 1e9); to > 0 {
		one.BuyersPremium.Tiers = append(one.BuyersPremium.Tiers, deal.Tier{Over: to, Share: r.share(p + "premium_above")})
	}
}

// Figures names the fields of figures: measures, and amounts of money.
func Figures(terms opinion.SellingTerms) (measures, amounts []string) {
	rules, tax, haggling, routes := Fields(terms, "EUR")
	all := append(append(rules, tax...), haggling...)
	for _, r := range routes {
		all = append(all, r.Groups...)
	}
	for _, g := range all {
		for _, f := range g.Fields {
			switch {
			case f.Kind == "money", strings.HasSuffix(f.Name, "_fixed"), strings.HasSuffix(f.Name, "_premium_to"):
				amounts = append(amounts, f.Name)
			case f.Kind == "number":
				measures = append(measures, f.Name)
			}
		}
	}
	return measures, amounts
}
