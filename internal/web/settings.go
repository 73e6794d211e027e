package web

import (
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/settings"
	"midcase/internal/web/pages/wording"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// settingsPages hold the shop's terms, and its local rules and terms of selling.
type settingsPages struct{ *site }

func (s *settingsPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /settings", s.page(s.settingsPage))
	mux.Handle("POST /settings", s.page(s.saveSettings))
	mux.Handle("GET /settings/shop", s.page(s.shopRulesPage))
	mux.Handle("POST /settings/shop", s.page(s.saveShopRules))
}

// settingsForm is what the shop computes with.
type settingsForm struct {
	termsForm
	spotForm
	figuresForm
}

type termsForm struct {
	Basis      string  `form:"basis" label:"Usual basis of value" kind:"choice"`
	Currency   string  `form:"currency,keep" label:"Values in" kind:"choice" hint:"the books stay in the base currency"`
	Margin     float64 `form:"wanted_margin,zero,needed" label:"Wanted margin" unit:"% of the price paid" min:"0" max:"500"`
	Confidence float64 `form:"confidence,needed" label:"How sure of it" unit:"%" min:"1" max:"99"`
	Carrying   float64 `form:"carrying,zero,needed" label:"Cost of money" unit:"% a year" min:"0" max:"100"`
	Hurdle     float64 `form:"hurdle,zero,keep" label:"Money bound should earn" unit:"% a year" hint:"asks and routes are chosen by it" min:"0" max:"1000"`
	Fee        float64 `form:"fee,zero,needed" label:"Selling costs" unit:"% of the sale" min:"0" max:"90"`
	Fixed      float64 `form:"fixed,zero,needed" label:"Fixed costs per watch" kind:"amount" min:"0" max:"1000000"`
	Tax        float64 `form:"tax,zero,needed" label:"Tax rate" unit:"%" min:"0" max:"90"`
	Scheme     string  `form:"scheme" label:"Tax on" choices:"margin|ordinary|none"`
	Days       float64 `form:"days,needed" label:"Typical days to sell" min:"1" max:"5000"`
}

type spotForm struct {
	Gold     money.Money `form:"spot_gold" label:"Gold, per troy ounce"`
	Silver   money.Money `form:"spot_silver" label:"Silver, per troy ounce"`
	Platinum money.Money `form:"spot_platinum" label:"Platinum, per troy ounce"`
	Date     string      `form:"spot_date" label:"Date of these prices" kind:"day" want:"the day of these prices, for example 2026-03-01"`
}

type figuresForm struct {
	Locale string `form:"locale" label:"Figures" kind:"choice"`
	Inches bool   `form:"inches" label:"Inch and troy ounce beside mm and g"`
}

var settingUp = form.Define[settingsForm]("settings")

// Prepare implements the choices of a form.
func (f *settingsForm) Prepare(v *form.View) {
	var bases []form.Option
	for _, b := range market.Bases() {
		bases = append(bases, form.Option{Value: string(b), Text: wording.Underscored(string(b))})
	}
	v.Offer(&f.Basis, bases...)
	v.Offer(&f.Currency, currencyOptions("")...)
	locales := []form.Option{{Value: "", Text: "as each browser asks"}}
	for _, l := range say.Locales() {
		locales = append(locales, form.Option{Value: l.Tag, Text: l.Sample()})
	}
	v.Offer(&f.Locale, locales...)
}

func settingsOf(s shop.Settings) settingsForm {
	t := s.Terms
	f := settingsForm{termsForm: termsForm{string(s.Basis), string(s.Currency), t.WantedMargin, t.Confidence, t.CarryingRatePerYear,
		t.HurdleRatePerYear, t.SellingFeeShare, t.FixedCost, t.Tax.Rate, t.Tax.Scheme, t.TimeToSell.ScaleDays},
		figuresForm: figuresForm{s.Locale, s.Inches}}
	for _, p := range s.Spots {
		*f.spots()[p.Element], f.Date = p.PerTroyOunce, p.Date
	}
	return f
}

func (f *spotForm) spots() map[string]*money.Money {
	return map[string]*money.Money{"gold": &f.Gold, "silver": &f.Silver, "platinum": &f.Platinum}
}

// settings are those of the form over the shop's.
func (f *settingsForm) settings(in shop.Settings, v *form.View) shop.Settings {
	t := &in.Terms
	in.Basis, t.WantedMargin, t.Confidence, t.CarryingRatePerYear = market.Basis(f.Basis), f.Margin, f.Confidence, f.Carrying
	t.HurdleRatePerYear = f.Hurdle
	t.SellingFeeShare, t.FixedCost, t.Tax.Rate, t.Tax.Scheme, t.TimeToSell.ScaleDays = f.Fee, f.Fixed, f.Tax, f.Scheme, f.Days
	in.Locale, in.Inches, in.Currency = f.Locale, f.Inches, money.Currency(f.Currency)
	in.Spots = nil
	for _, element := range []string{"gold", "silver", "platinum"} {
		price := f.spots()[element]
		if price.IsZero() {
			continue
		}
		if price.Currency() != in.Currency {
			v.Wrong(price, "Enter the price in "+string(in.Currency)+".")
		}
		in.Spots = append(in.Spots, opinion.SpotPrice{Element: element, PerTroyOunce: *price, Date: f.Date})
	}
	if len(in.Spots) > 0 && f.Date == "" {
		v.Missing(&f.Date)
	}
	return in
}

func (s *settingsPages) settingsPage(w http.ResponseWriter, r *http.Request) error {
	now, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	return s.showSettings(w, r, settingUp.Of(r.Context(), settingsOf(now)))
}

func (s *settingsPages) showSettings(w http.ResponseWriter, r *http.Request, f *form.Form[settingsForm]) (err error) {
	d := settings.Data{Frame: s.frame("settings", "Settings"), Form: &f.View, Terms: f.Part(&f.V.termsForm),
		Spots: f.Part(&f.V.spotForm), Figures: f.Part(&f.V.figuresForm), Saved: r.FormValue("saved") != ""}
	if s.opt.Head != nil {
		if d.Items, d.Root, err = s.opt.Head(r.Context()); err != nil {
			return err
		}
	}
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return settings.Page(d).Render(r.Context(), w)
}

func (s *settingsPages) saveSettings(w http.ResponseWriter, r *http.Request) error {
	now, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	f, err := settingUp.Read(r, settingsOf(now))
	if err != nil {
		return err
	}
	changed := f.V.settings(now, &f.View)
	if !f.OK() {
		return s.showSettings(w, r, f)
	}
	if err := s.shop.SetSettings(r.Context(), changed); err != nil {
		return err
	}
	http.Redirect(w, r, "/settings?saved=1", http.StatusSeeOther)
	return nil
}
