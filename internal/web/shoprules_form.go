package web

import (
	"strings"

	"midcase/deal"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/shoprules"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// rulesForm are local rules, tax, and the terms of selling by each route.
type rulesForm struct {
	localForm
	taxForm
	Routes []routeForm `rows:"r#_*"`
	haggleForm
}

type localForm struct {
	Place     string      `form:"place,needed" label:"Place" hint:"whose rules these are, in your words" want:"a name for these rules, such as the place"`
	Hold      int         `form:"hold_days,zero" label:"Days to hold" hint:"between buying and selling; 0: none" min:"0" max:"10000"`
	Register  int         `form:"register_days,zero" label:"Register check valid for" unit:"days" hint:"lost and stolen watches; 0: not required" min:"0" max:"10000"`
	CashLimit money.Money `form:"cash_limit" label:"Cash limit for one client" hint:"such as 10000 EUR; leave empty for none"`
	CashSpan  int         `form:"cash_months,zero" label:"counted over" unit:"months" min:"0" max:"10000"`
	Keep      int         `form:"keep_years,zero" label:"Keep the books for" unit:"years" min:"0" max:"10000"`
	Identity  bool        `form:"identity" label:"The seller's identity must be on record"`
	Statement bool        `form:"statement" label:"A statement of ownership must be on record"`
	Straps    string      `form:"straps" label:"Straps of protected animals: what to observe" kind:"area"`
	Lume      string      `form:"lume" label:"Radium and tritium: what to observe when shipping" kind:"area"`
	Headings  []string    `form:"headings" label:"Customs headings" hint:"one a line, such as 9101: case wholly of precious metal"`
	Sources   []string    `form:"sources" label:"Sources" hint:"one a line"`
}

type taxForm struct {
	Scheme string  `form:"scheme" label:"Usual tax scheme" choices:"margin=margin: on the margin only|ordinary=ordinary: on the whole price|none"`
	Rate   float64 `form:"tax,zero" label:"Tax rate" unit:"%" min:"0" max:"90"`
}

type routeForm struct {
	now           opinion.RouteTerms
	Commission    float64 `form:"commission,zero" label:"Commission" unit:"% of the sale" min:"0" max:"95"`
	CommissionTax float64 `form:"commission_tax,zero" label:"Tax on the commission" unit:"%" hint:"where it cannot be reclaimed" min:"0" max:"90"`
	Other         float64 `form:"other,zero" label:"Other costs" unit:"% of the sale" min:"0" max:"95"`
	Fixed         float64 `form:"fixed,zero" label:"Fixed costs" kind:"amount" hint:"photographs, insurance, carriage" min:"0" max:"1000000"`
	Days          float64 `form:"days" label:"Typical days to sell" hint:"leave empty to use our own history" min:"1" max:"5000"`
	premiumForm
	lotForm
}

type lotForm struct {
	Reserve float64 `form:"reserve,zero" label:"Reserve" unit:"% of the hammer price expected" hint:"0: none" min:"0" max:"200"`
	Charge  float64 `form:"charge,zero" label:"Charge for a lot unsold" unit:"% of the reserve" min:"0" max:"100"`
	Last    float64 `form:"last,zero" label:"The trade then pays" unit:"% of the highest bid" hint:"where the market has no trade prices" min:"0" max:"100"`
}

type premiumForm struct {
	Premium float64 `form:"premium" label:"Buyer's premium" unit:"%" hint:"leave empty if prices are hammer prices" min:"0" max:"95"`
	UpTo    float64 `form:"premium_to" label:"up to a price of" kind:"amount" hint:"leave empty for the whole price" min:"1" max:"1000000000"`
	Above   float64 `form:"premium_above" label:"and above it" unit:"%" min:"0" max:"95"`
	Tax     float64 `form:"premium_tax" label:"Tax on the premium" unit:"%" min:"0" max:"90"`
}

type haggleForm struct {
	Discount float64 `form:"discount,zero" label:"Usual last discount" unit:"%" hint:"off the ask" min:"0" max:"95"`
	Pass     float64 `form:"pass,zero" label:"Share of an over-ask that is achieved" unit:"%" hint:"50: asking 10 % more gets 5 %" min:"0" max:"100"`
	Over     float64 `form:"over,zero" label:"Nobody pays more over the value than" unit:"%" min:"0" max:"500"`
	CutEvery float64 `form:"cut_every,zero" label:"Unsold, we cut the ask every" unit:"days" hint:"0: never" min:"0" max:"3650"`
	CutBy    float64 `form:"cut_by,zero" label:"by" unit:"%" min:"0" max:"90"`
	Patience float64 `form:"patience,zero" label:"Days on sale before we give up" hint:"0: never" min:"0" max:"3650"`
	GivenUp  float64 `form:"given_up" label:"It then brings" unit:"% of its value" min:"1" max:"100"`
	Together float64 `form:"together,zero" label:"Prices of the routes move together" unit:"%" hint:"correlation: 50 is about half the uncertainty" min:"0" max:"100"`
}

var shopRules = form.Define[rulesForm]("local rules and terms of selling")

// Prepare leaves the buyer's premium out of routes that have none.
func (f *rulesForm) Prepare(v *form.View) {
	for i := range f.Routes {
		if r := &f.Routes[i]; r.now.Name != deal.Auction {
			v.Drop(&r.premiumForm)
			v.Drop(&r.lotForm)
		}
	}
}

// localOf are local rules as the form holds them.
func localOf(r trade.LocalRules) localForm {
	f := localForm{r.Place, r.HoldDays, r.RegisterDays, r.CashLimit, r.CashMonths, r.KeepYears, r.Identity, r.Statement,
		r.Straps, r.Lume, nil, r.Sources}
	for _, h := range r.Headings {
		f.Headings = append(f.Headings, h.Heading+": "+h.When)
	}
	return f
}

// rules makes local rules of what was typed.
func (f *localForm) rules(v *form.View) trade.LocalRules {
	out := trade.LocalRules{Place: f.Place, HoldDays: f.Hold, RegisterDays: f.Register, CashLimit: f.CashLimit,
		CashMonths: f.CashSpan, KeepYears: f.Keep,
		Identity: f.Identity, Statement: f.Statement, Straps: f.Straps, Lume: f.Lume, Sources: f.Sources}
	for _, line := range f.Headings {
		heading, when, _ := strings.Cut(line, ":")
		heading, when = strings.TrimSpace(heading), strings.TrimSpace(when)
		if heading == "" || when == "" {
			v.Wrong(&f.Headings, "“"+line+"” is no heading. Enter lines such as 9101: case wholly of precious metal.")
			break
		}
		out.Headings = append(out.Headings, trade.Heading{Heading: heading, When: when})
	}
	return out
}

// rulesOf are rules and terms as the form holds them.
func rulesOf(r trade.LocalRules, t opinion.SellingTerms, tax deal.Tax) rulesForm {
	h := t.Haggling
	f := rulesForm{localForm: localOf(r), taxForm: taxForm{tax.Scheme, tax.Rate},
		haggleForm: haggleForm{h.Discount, h.PassThrough, h.MostOver, h.CutEveryDays, h.CutBy, h.PatienceDays, h.GivenUp, t.Together}}
	for _, route := range t.Routes {
		f.Routes = append(f.Routes, routeOf(route))
	}
	return f
}

const commission = "commission"

func routeOf(now opinion.RouteTerms) routeForm {
	f := routeForm{now: now, Days: now.TimeToSell.ScaleDays,
		lotForm: lotForm{now.Lot.Reserve, now.Lot.Charge, now.Lot.Last}}
	for _, fee := range now.Fees {
		f.Fixed += fee.Fixed
		if fee.Name == commission {
			f.Commission, f.CommissionTax = fee.ShareOfSale, fee.TaxRate
		} else {
			f.Other += fee.ShareOfSale
		}
	}
	if tiers := now.BuyersPremium.Tiers; len(tiers) > 0 {
		f.Premium, f.Tax = tiers[0].Share, now.BuyersPremium.TaxRate
		if len(tiers) > 1 {
			f.UpTo, f.Above = tiers[1].Over, tiers[1].Share
		}
	}
	return f
}

// terms makes terms of selling of what was typed.
func (f *rulesForm) terms(v *form.View) opinion.SellingTerms {
	h := f.haggleForm
	out := opinion.SellingTerms{Together: h.Together,
		Haggling: deal.Haggling{Discount: h.Discount, PassThrough: h.Pass, MostOver: h.Over, CutEveryDays: h.CutEvery,
			CutBy: h.CutBy, PatienceDays: h.Patience, GivenUp: h.GivenUp}}
	for i := range f.Routes {
		out.Routes = append(out.Routes, f.Routes[i].terms(v))
	}
	return out
}

// mostCosts is the share of a price that costs may take: something must be left of it.
const mostCosts = 0.95

func (f *routeForm) terms(v *form.View) opinion.RouteTerms {
	out := opinion.RouteTerms{Name: f.now.Name, Basis: f.now.Basis, Tax: f.now.Tax}
	if f.Commission > 0 {
		out.Fees = append(out.Fees, deal.Fee{Name: commission, ShareOfSale: f.Commission, TaxRate: f.CommissionTax})
	}
	if f.Other > 0 || f.Fixed > 0 {
		out.Fees = append(out.Fees, deal.Fee{Name: "selling costs", ShareOfSale: f.Other, Fixed: f.Fixed})
	}
	if f.Days > 0 {
		out.TimeToSell = deal.Weibull{Shape: f.now.TimeToSell.Shape, ScaleDays: f.Days}
		if out.TimeToSell.Shape <= 0 {
			out.TimeToSell.Shape = 1 // a constant chance a day
		}
	}
	if f.now.Name == deal.Auction {
		f.premium(&out)
		out.Lot = deal.Lot{Reserve: f.Reserve, Charge: f.Charge, Last: f.Last}
	}
	if f.Commission*(1+f.CommissionTax)+f.Other >= mostCosts {
		v.Wrong(&f.Commission, "Commission and costs take the whole price. Enter smaller ones.")
	}
	return out
}

// premium sets a buyer's premium. With one, prices are taken as the buyer pays them.
func (f *routeForm) premium(out *opinion.RouteTerms) {
	out.Basis = market.AuctionHammer
	if f.Premium == 0 {
		return
	}
	out.Basis = market.AuctionAllIn
	out.BuyersPremium = deal.BuyersPremium{Tiers: []deal.Tier{{Share: f.Premium}}, TaxRate: f.Tax}
	if f.UpTo > 0 {
		out.BuyersPremium.Tiers = append(out.BuyersPremium.Tiers, deal.Tier{Over: f.UpTo, Share: f.Above})
	}
}

// shown gives the page the form by its sections.
func shown(f *form.Form[rulesForm], d *shoprules.Data) {
	d.Form, d.Rules, d.Tax, d.Haggling = &f.View, f.Part(&f.V.localForm), f.Part(&f.V.taxForm), f.Part(&f.V.haggleForm)
	for i := range f.V.Routes {
		r := &f.V.Routes[i]
		d.Routes = append(d.Routes, shoprules.Route{Name: r.now.Name, Basis: r.now.Basis.Definition(),
			Fields: f.Part(r)})
	}
}
