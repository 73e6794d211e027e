package web

import (
	"net/http"
	"strconv"

	"midcase/internal/shop"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/shoprules"
	"midcase/opinion"
)

// sellingTerms are the shop's terms of selling; own is false for the common ones.
func sellingTerms(set shop.Settings) (t opinion.SellingTerms, own bool) {
	if len(set.Selling.Routes) > 0 {
		return set.Selling, true
	}
	return opinion.CommonSellingTerms(set.Terms), false
}

func (s *settingsPages) shopRulesPage(w http.ResponseWriter, r *http.Request) error {
	rules, err := s.shop.Trade.Rules(r.Context())
	if err != nil {
		return err
	}
	set, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	d := shoprules.Data{Saved: r.FormValue("saved") != ""}
	if n, err := strconv.Atoi(r.FormValue("example")); err == nil && n >= 1 && n <= len(trade.RuleExamples()) {
		rules = trade.RuleExamples()[n-1]
		d.Example = rules.Place
	}
	now, own := sellingTerms(set)
	d.Own = own
	return s.showShopRules(w, r, d, shopRules.Of(r.Context(), rulesOf(rules, now, set.Terms.Tax)))
}

func (s *settingsPages) showShopRules(w http.ResponseWriter, r *http.Request, d shoprules.Data,
	f *form.Form[rulesForm]) error {
	d.Frame, d.Examples = s.frame("settings", "Local rules and terms of selling"), trade.RuleExamples()
	shown(f, &d)
	if !f.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return shoprules.Page(d).Render(r.Context(), w)
}

func (s *settingsPages) saveShopRules(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	set, err := s.shop.Settings(ctx)
	if err != nil {
		return err
	}
	now, own := sellingTerms(set)
	f, err := shopRules.Read(r, rulesOf(trade.LocalRules{}, now, set.Terms.Tax))
	if err != nil {
		return err
	}
	rules, terms := f.V.rules(&f.View), f.V.terms(&f.View)
	if f.OK() {
		if err := s.shop.Trade.SetRules(ctx, rules); err != nil && !f.Refused(err, nil) {
			return err
		}
	}
	if !f.OK() {
		return s.showShopRules(w, r, shoprules.Data{Own: own}, f)
	}
	set.Selling, set.Terms.Tax.Scheme, set.Terms.Tax.Rate = terms, f.V.Scheme, f.V.Rate
	if r.PostForm.Get("common") != "" {
		set.Selling = opinion.SellingTerms{}
	}
	if err := s.shop.SetSettings(ctx, set); err != nil {
		return err
	}
	http.Redirect(w, r, "/settings/shop?saved=1", http.StatusSeeOther)
	return nil
}
