package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/deal"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/opinion"
)

// TestDealPage names a highest price, compares four routes, draws the ladder, and follows the
// assumptions.
func TestDealPage(t *testing.T) {
	s := look(t)
	path := watchPath(soundWatch) + "/deal"
	p := s.page(path)
	want(t, p.Find(".lead"), "Pay no more than")
	want(t, p.Find(".lead"), "At the price paid")
	if n := p.Find("#routes ~ table").First().Find("tbody tr").Length(); n != 4 {
		t.Errorf("%d routes; want 4", n)
	}
	want(t, p.Find("#sensitivity ~ table").First(), "Sale price")
	want(t, p.Find("#ask ~ .lead").First(), "likely never to sell")
	if p.Find("svg.chart path.line[d^=M]").Length() != 4 {
		t.Error("no charts of the ladder are drawn")
	}
	want(t, p.Find("#limits ~ ul"), "no valuation and no advice")
	high := func(query string) string {
		return squeeze(s.page(path + query).Find(".lead strong").First().Text())
	}
	if a, b := high("?margin=5"), high("?margin=60"); a == b {
		t.Errorf("a margin of 5 %% and one of 60 %% give the same price, %s", a)
	}
	want(t, s.page(path+"?price=4000").Find(".lead"), "4,000 EUR")
	want(t, s.page(path+"?currency=CHF").Find(".lead"), "CHF")
	for _, query := range []string{"?margin=x", "?confidence=100", "?currency=ZZZ", "?price=-4", "?scheme=odd",
		"?work_low=9&work=5&work_high=7"} {
		a := s.get(path + query)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		if a.page(t).Find(".error").Length() == 0 {
			t.Errorf("%s: nothing says what is wrong", query)
		}
	}
	s.wantStatus(s.get(watchPath("w_none")+"/deal"), http.StatusNotFound)
}

// TestOneHighestPrice finds the same highest price and expected profit of each watch in the JSON, the
// watch's page, the page of what to pay, the report of the shop's own copy and the comparison of routes.
func TestOneHighestPrice(t *testing.T) {
	s := look(t)
	watches, err := s.shop.Watches(t.Context(), shop.Filter{})
	if err != nil || len(watches) != 8 {
		t.Fatal(len(watches), err)
	}
	for _, w := range watches {
		o, err := s.shop.Opinion(t.Context(), w.ID, now)
		if err != nil || !o.Deal.Known {
			t.Fatalf("%s: %s, %v", w.Title, o.Deal.CannotTell, err)
		}
		plain := func(m *money.Money) string {
			return strings.ReplaceAll(wording.MoneyPtr(t.Context(), m), "\u00a0", " ")
		}
		highest, expected := plain(o.Deal.HighestPrice), plain(o.Deal.ExpectedProfit)
		page := s.page(watchPath(w.ID))
		named := map[string]string{}
		page.Find("#deal ~ .glance").First().Find("div").Each(func(_ int, e elements) {
			named[squeeze(e.Find("dt").Text())] = squeeze(e.Find("dd").Text())
		})
		dealPage := s.page(watchPath(w.ID) + "/deal")
		profit := ""
		dealPage.Find("#routes ~ table").First().Find("tbody tr").Each(func(_ int, row elements) {
			if strings.EqualFold(squeeze(row.Find("th").Text()), o.Deal.Route) {
				profit = squeeze(row.Find("[data-label='Net result']").Contents().First().Text())
			}
		})
		if o.Deal.HighestPrice == nil { // sold for its owner
			want(t, dealPage.Find(".lead"), "Sold for its owner")
			continue
		}
		for what, got := range map[string]string{
			"watch page": named["Highest price"], "deal page": squeeze(dealPage.Find(".lead [data-highest]").Text()),
		} {
			if got != highest {
				t.Errorf("%s: highest price on the %s %q; the opinion says %q", w.Title, what, got, highest)
			}
		}
		currency := " " + string(o.Deal.ExpectedProfit.Currency())
		if named["Expected profit"] != expected || profit+currency != expected {
			t.Errorf("%s: expected profit %q on the watch page, %q on the deal page; the opinion says %q", w.Title,
				named["Expected profit"], profit, expected)
		}
		for _, other := range []string{"/deal?margin=70", "/deal?confidence=95"} {
			lead := s.page(watchPath(w.ID) + other).Find(".lead").First()
			if !strings.Contains(squeeze(lead.Text()), "By the shop's own terms the highest price is "+highest) {
				t.Errorf("%s%s does not name the price by the shop's own terms, %s: %s", w.Title, other, highest,
					lead.Text())
			}
		}
	}
}

func TestDealWithoutSales(t *testing.T) {
	s := serveBare(t)
	want(t, s.page(watchPath(soundWatch)+"/deal").Find(".notice"), "no sales to value it by")
	want(t, s.page("/stock/whole").Find(".notice"), "no sales to value the stock by")
}

// TestWholeStock values the stock together and follows what is asked.
func TestWholeStock(t *testing.T) {
	s := look(t)
	p := s.page("/stock/whole")
	want(t, p.Find(".lead"), " invested, in 12 months together worth about ")
	want(t, p.Find("section[aria-label=References] table"), "Corvane KR-1")
	want(t, p.Find("#falls ~ table"), "18 karat gold")
	want(t, p.Find("#oldest ~ table"), "No. 1 Corvane KR-1")
	want(t, s.page("/stock/whole?metal=gold18&by=50").Find("#falls ~ table"), "50 % of it")
	for _, query := range []string{"?months=x", "?months=500", "?metal=brass", "?by=0"} {
		a := s.get("/stock/whole" + query)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		if a.page(t).Find(".error").Length() != 1 {
			t.Errorf("%s: nothing says what is wrong", query)
		}
	}
}

// TestShopRules fills the form from an example, refuses what makes no sense, and keeps the rest.
func TestShopRules(t *testing.T) {
	s := serveEmpty(t)
	p := s.page("/settings/shop?example=4")
	form := url.Values{}
	p.Find("main form input, main form textarea").Each(func(_ int, in elements) {
		value := in.AttrOr("value", "")
		if in.Is("textarea") {
			value = in.Text()
		}
		if in.AttrOr("type", "") != "checkbox" || in.Is("[checked]") {
			form.Set(in.AttrOr("name", ""), value)
		}
	})
	form.Set("scheme", "ordinary")
	form.Set("tax", "19")
	for field, bad := range map[string]string{"hold_days": "many", "place": "", "cash_limit": "lots",
		"headings": "9101", "tax": "300", "r0_other": "-2", "discount": "x"} {
		wrong := url.Values{}
		for k, v := range form {
			wrong[k] = v
		}
		wrong.Set(field, bad)
		a := s.post("/settings/shop", wrong)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		if a.page(t).Find("#e-"+field).Length() != 1 {
			t.Errorf("%s = %q: nothing stands beside it", field, bad)
		}
	}
	form.Set("r0_other", "6")
	form.Set("r2_premium", "25")
	form.Set("r2_premium_to", "1000")
	form.Set("r2_premium_above", "20")
	s.wantStatus(s.post("/settings/shop", form), http.StatusSeeOther)
	rules, err := s.shop.Trade.Rules(t.Context())
	if err != nil || rules.HoldDays != 15 || !rules.Identity || len(rules.Headings) != 2 || len(rules.Sources) != 2 ||
		rules.CashLimit.String() != "10000.00 USD" {
		t.Errorf("rules kept: %+v, %v", rules, err)
	}
	set, err := s.shop.Settings(t.Context())
	if err != nil || set.Terms.Tax != (deal.Tax{Scheme: deal.Ordinary, Rate: 0.19}) {
		t.Errorf("tax kept: %+v, %v", set.Terms.Tax, err)
	}
	common := opinion.CommonSellingTerms(set.Terms)
	if got := set.Selling; len(got.Routes) != 4 || got.Routes[0].Fees[0].ShareOfSale != 0.06 ||
		got.Haggling != common.Haggling || got.Together != common.Together || got.Routes[1].TimeToSell.ScaleDays != 45 {
		t.Errorf("terms kept: %+v", got)
	}
	if tiers := set.Selling.Routes[2].BuyersPremium.Tiers; len(tiers) != 2 ||
		tiers[1] != (deal.Tier{Over: 1000, Share: 0.2}) {
		t.Errorf("premium kept: %+v", tiers)
	}
	p = s.page("/settings/shop?saved=1")
	if v := p.Find("#f-r0_other").AttrOr("value", ""); v != "6" {
		t.Errorf("the form shows %q", v)
	}
	form.Set("common", "1")
	s.wantStatus(s.post("/settings/shop", form), http.StatusSeeOther)
	if set, err = s.shop.Settings(t.Context()); err != nil || len(set.Selling.Routes) != 0 {
		t.Errorf("terms: %+v, %v", set.Selling, err)
	}
	if !strings.Contains(s.page("/settings").Find("main").Text(), "Local rules") {
		t.Error("the settings do not lead here")
	}
}
