package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
)

// A valuation says what it is for, or is not numbered; what is wrong stands at its field and nothing typed is lost.
func TestValuation(t *testing.T) {
	s := serve(t)
	all, err := s.shop.Watches(t.Context(), shop.Filter{})
	if err != nil || len(all) == 0 {
		t.Fatal(err)
	}
	at := watchPath(all[0].ID) + "/valuation"
	if offer := s.page("/documents?watch=" + url.QueryEscape(string(all[0].ID))); offer.Find("a[href='"+at+"']").Length() != 1 {
		t.Error("the papers of the watch do not lead to the valuation")
	}
	for _, c := range []struct {
		form  url.Values
		field string
	}{
		{url.Values{}, "purpose"},
		{url.Values{"purpose": {"estate"}}, "for"},
		{url.Values{"purpose": {"estate"}, "for": {"the executor"}, "effective": {"2099-01-01"}}, "effective"},
		{url.Values{"purpose": {"estate"}, "for": {"the executor"}, "effective": {"yesterday"}}, "effective"},
		{url.Values{"purpose": {"estate"}, "for": {"the executor"}, "basis": {"fair"}}, "basis"},
	} {
		a := s.post(at, c.form)
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		field := p.Find("[name='" + c.field + "']")
		if field.Length() == 0 || field.AttrOr("aria-invalid", "") != "true" {
			t.Errorf("%v: nothing is wrong at %q: %s", c.form, c.field, squeeze(p.Find("form").Text()))
		}
		if c.form.Get("for") != "" && p.Find("[name=for]").AttrOr("value", p.Find("[name=for]").Text()) != "the executor" {
			t.Errorf("%v: what was typed is lost", c.form)
		}
	}
	good := url.Values{"purpose": {"estate"}, "for": {"the executor"}, "assume": {"The bracelet left with it."}}
	look := s.get(at + ".pdf?" + good.Encode())
	s.wantStatus(look, http.StatusOK)
	if !strings.HasPrefix(look.body, "%PDF-") {
		t.Errorf("the look is %.20q", look.body)
	}
	if list := squeeze(s.page("/documents").Find("main").Text()); strings.Contains(list, "V-20") {
		t.Error("a look at it numbered a paper")
	}
	a := s.post(at, good)
	s.wantStatus(a, http.StatusSeeOther)
	made := strings.TrimSuffix(a.Header.Get("Location"), "?made=1")
	text := s.get(made + "/md").body
	for _, want := range []string{"Estate or gift, for the executor", "The bracelet left with it.", "Certification", "V-20"} {
		if !strings.Contains(text, want) {
			t.Errorf("the paper does not say %q", want)
		}
	}
}

// Without a sale there is no value, and no paper that states one.
func TestNoValuationWithoutAValue(t *testing.T) {
	s := serveBare(t)
	a := s.post(watchPath("w_demo01")+"/valuation", url.Values{"purpose": {"estate"}, "for": {"the executor"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	if says := squeeze(a.page(t).Find("main").Text()); !strings.Contains(says, "there are no sales to value it by") {
		t.Errorf("it says %q", says)
	}
}
