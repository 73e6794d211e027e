package web_test

import (
	"net/http"
	"net/url"
	"testing"
)

const ranksOf = "/book/corvane/KR-1/ranks"

// The next pair is asked, what was said ranks the watches of that part alone, and withdrawing it says what it changed.
func TestRanksByComparing(t *testing.T) {
	s := serveBare(t)
	hidden := func(slot string) url.Values {
		v := url.Values{}
		f := s.page(ranksOf + "?slot=" + slot).Find("form.versus")
		for _, name := range []string{"a", "b", "slot"} {
			v.Set(name, f.Find("input[name="+name+"]").AttrOr("value", ""))
		}
		return v
	}
	v := hidden("crown")
	if v.Get("a") == "" || v.Get("a") == v.Get("b") {
		t.Fatalf("the pair is %v", v)
	}
	s.wantStatus(s.post(ranksOf, v), http.StatusUnprocessableEntity) // neither better nor worse
	cases := s.page(ranksOf + "?slot=case").Find("#standings + *").Text()
	v.Set("result", "better")
	s.wantStatus(s.post(ranksOf, v), http.StatusSeeOther)
	p := s.page(ranksOf + "?slot=crown")
	want(t, p.Find("#standings + table"), "Better than")
	if now := s.page(ranksOf + "?slot=case").Find("#standings + *").Text(); now != cases {
		t.Error("a better crown counts as a better case")
	}
	same := url.Values{"a": v["a"], "b": v["a"], "slot": {"crown"}, "result": {"better"}}
	s.wantStatus(s.post(ranksOf, same), http.StatusUnprocessableEntity)
	whole := hidden("")
	whole.Set("result", "same")
	s.wantStatus(s.post(ranksOf, whole), http.StatusSeeOther)

	f := p.Find("form[action$='/ranks/withdraw']").First()
	back := url.Values{"slot": {"crown"}}
	for _, name := range []string{"on", "id"} {
		back.Set(name, f.Find("input[name="+name+"]").AttrOr("value", ""))
	}
	s.wantStatus(s.post(ranksOf+"/withdraw", back), http.StatusUnprocessableEntity)
	back.Set("why", "the wrong way round")
	a := s.post(ranksOf+"/withdraw", back)
	s.wantStatus(a, http.StatusOK)
	want(t, a.page(t).Find(".notice[role=status]"), "now ranks above")
	s.wantStatus(s.get(ranksOf+"?slot=wing"), http.StatusNotFound)
}
