package web_test

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

const examplesOf = "/book/corvane/KR-1/examples"

// Examples are added one by one with a few fields; what they say of the book is accepted as one change, once.
func TestExamplesCorrectTheBook(t *testing.T) {
	s := serveBare(t)
	add := func(v url.Values) answer {
		v.Set("reference", "Corvane KR-1")
		v.Set("place", "fair")
		v.Set("source", "Spring fair")
		return s.post("/examples/new", v)
	}
	a := add(url.Values{"made": {"1964-05"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("form.ask"), "Plain bezel, flat") // the versions of the book are offered
	s.wantStatus(s.post("/examples/new", url.Values{"reference": {"Nobody 9"}, "dial": {"x"}}),
		http.StatusUnprocessableEntity)
	for i := range 36 { // flat until the end of 1964, when the book has it to October 1965
		version := "bezel-flat"
		if i >= 12 {
			version = "bezel-domed"
		}
		s.wantStatus(add(url.Values{"made": {fmt.Sprintf("%d-%02d", 1963+(i+6)/18, 1+(i+6)%18*2/3)}, "bezel": {version}}),
			http.StatusSeeOther)
	}
	s.wantStatus(add(url.Values{"serial": {"214 459"}, "bezel": {"bezel-flat"}}), http.StatusSeeOther)
	a = add(url.Values{"serial": {"2I4459"}, "bezel": {"bezel-flat"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("form .field.wrong"), "on record as “214 459”")

	p := s.page(examplesOf)
	want(t, p.Find("#bezel + p"), "speak for 2 changes of the book")
	if n := p.Find("#bezel ~ svg.chart.broad").First().Find("circle").Length(); n < 37 {
		t.Errorf("%d dots; want one for each example", n)
	}
	want(t, p.Find(".notice"), "Discovery")
	want(t, p.Find(".diff"), "+")
	want(t, p.Find("#counts + ul"), "90 % range")
	accept := p.Find("form[action$='/accept']").First()
	v := url.Values{}
	for _, name := range []string{"slot", "change"} {
		v.Set(name, accept.Find("input[name="+name+"]").AttrOr("value", ""))
	}
	s.wantStatus(s.post(examplesOf+"/accept", url.Values{"slot": v["slot"], "change": {"bezel-flat 1963/1964"}}),
		http.StatusConflict)
	s.wantStatus(s.post(examplesOf+"/accept", v), http.StatusSeeOther)
	s.wantStatus(s.post(examplesOf+"/accept", v), http.StatusConflict)
	want(t, s.page("/book-versions/corvane/2").Find("tbody tr").First(), "learned from")

	id := p.Find("#records + table tbody tr").First().AttrOr("id", "")
	s.wantStatus(s.post(examplesOf, url.Values{"id": {id}}), http.StatusUnprocessableEntity)
	s.wantStatus(s.post(examplesOf, url.Values{"id": {id}, "why": {"a fake"}}), http.StatusSeeOther)
	if now := s.page(examplesOf); now.Find("[id='"+id+"']").Length() != 0 ||
		strings.Contains(now.Find("#records + table").Text(), "214 459") {
		t.Error("what was withdrawn is listed")
	}
}
