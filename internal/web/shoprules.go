package web

import (
	"errors"
	"net/http"
	"strconv"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/life"
	"midcase/internal/web/pages/shoprules"
	"midcase/opinion"
)

// shopRules serves the form of local rules and terms of selling.
func (s *Server) shopRules(mux *http.ServeMux) {
	mux.Handle("GET /settings/shop", s.page(s.shopRulesPage))
	mux.Handle("POST /settings/shop", s.page(s.saveShopRules))
}

// sellingTerms are the shop's terms of selling; own is false for the common ones.
func sellingTerms(set shop.Settings) (t opinion.SellingTerms, own bool) {
	if len(set.Selling.Routes) > 0 {
		return set.Selling, true
	}
	return opinion.CommonSellingTerms(set.Terms), false
}

func (s *Server) shopRulesPage(w http.ResponseWriter, r *http.Request) error {
	rules, err := s.shop.Rules(r.Context())
	if err != nil {
		return err
	}
	d := shoprules.Data{Saved: r.FormValue("saved") != ""}
	if n, err := strconv.Atoi(r.FormValue("example")); err == nil && n >= 1 && n <= len(shop.RuleExamples()) {
		rules = shop.RuleExamples()[n-1]
		d.Example = rules.Place
	}
	values := shoprules.RuleValues(rules)
	return s.shopRulesForm(w, r, d, values, nil)
}

// shopRulesForm shows the form with values of the rules, and those typed where some were.
func (s *Server) shopRulesForm(w http.ResponseWriter, r *http.Request, d shoprules.Data, values map[string]string, problems evidence.Problems) error {
	set, err := s.shop.Settings(r.Context())
	if err != nil {
		return err
	}
	terms, own := sellingTerms(set)
	all := shoprules.TermValues(terms, set.Terms.Tax)
	for k, v := range values {
		all[k] = v
	}
	d.Frame, d.Own, d.Examples, d.Wrong = s.frame("settings", "Local rules and terms of selling"), own, shop.RuleExamples(), len(problems) > 0
	rules, tax, haggling, routes := shoprules.Fields(terms, set.Currency)
	d.Rules, _ = life.Fill(rules, all, problems)
	d.Tax, _ = life.Fill(tax, all, problems)
	d.Haggling, _ = life.Fill(haggling, all, problems)
	for _, route := range routes {
		route.Groups, _ = life.Fill(route.Groups, all, problems)
		d.Routes = append(d.Routes, route)
	}
	if d.Wrong {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return shoprules.Page(d).Render(r.Context(), w)
}

func (s *Server) saveShopRules(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	if err := r.ParseForm(); err != nil {
		return err
	}
	set, err := s.shop.Settings(ctx)
	if err != nil {
		return err
	}
	now, _ := sellingTerms(set)
	typed := map[string]string{"identity": "", "statement": ""}
	for name := range r.PostForm {
		typed[name] = r.PostForm.Get(name)
	}
	measures, amounts := shoprules.Figures(now)
	plain, problems := readFigures(ctx, typed, measures, amounts)
	read := func(name string) string { return plain[name] }
	rules, more := shoprules.ReadRules(read, set.Currency)
	terms, tax, others := shoprules.ReadTerms(read, now, set.Terms.Tax)
	problems = append(append(problems, more...), others...)
	if len(problems) == 0 {
		var invalid *shop.Invalid
		if err := s.shop.SetRules(ctx, rules); errors.As(err, &invalid) {
			problems = invalid.Problems
		} else if err != nil {
			return err
		}
	}
	if len(problems) > 0 {
		return s.shopRulesForm(w, r, shoprules.Data{}, typed, problems)
	}
	set.Selling, set.Terms.Tax = terms, tax
	if r.PostForm.Get("common") != "" {
		set.Selling = opinion.SellingTerms{}
	}
	if err := s.shop.SetSettings(ctx, set); err != nil {
		return err
	}
	http.Redirect(w, r, "/settings/shop?saved=1", http.StatusSeeOther)
	return nil
}
