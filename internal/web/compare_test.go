package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestWatchBesideTheBook(t *testing.T) {
	s := look(t)
	p := s.page("/compare?a=" + string(swappedWatch))
	want(t, p.Find(".sided").First(), "Bracelet")
	want(t, p.Find(".sides"), "The book expects")
	first := squeeze(p.Find(".sided").First().Find("tbody th").Slice(0, 3).Text())
	if !strings.Contains(first, "Bracelet") || !strings.Contains(first, "Clasp differs") {
		t.Errorf("first differences %q; want the bracelet that was planted, with its clasp", first)
	}
}

func TestWatchBesideAnother(t *testing.T) {
	s := look(t)
	p := s.page("/compare?a=" + string(soundWatch) + "&find=5")
	want(t, p.Find("thead").First(), "File 5")
	for _, id := range []string{"#about", "#parts", "#condition", "#sizes", "#metal", "#price"} {
		if p.Find(id).Length() == 0 {
			t.Errorf("no section %s", id)
		}
	}
	want(t, p.Find("#metal + .sided tr.differs"), "Metal")
	form := s.page(p.Find("a[href*='kind=comparison']").AttrOr("href", ""))
	if got := form.Find("#f-other option[selected]").AttrOr("value", ""); got != string(goldWatch) {
		t.Errorf("the other watch is offered as %q", got)
	}
	a := s.get("/compare?a=" + string(soundWatch) + "&find=nothing-such")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field.wrong .error"), "nothing-such")
	s.wantStatus(s.get("/compare?a=none"), http.StatusNotFound)
}

func TestReferenceExampleStandsBeside(t *testing.T) {
	s := serveBare(t)
	a := s.post("/take-in", url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}})
	s.wantStatus(a, http.StatusSeeOther)
	fresh := a.Header.Get("Location")
	a = s.post(watchPath(soundWatch)+"/example", nil)
	s.wantStatus(a, http.StatusSeeOther)
	p := s.page(a.Header.Get("Location"))
	want(t, p.Find("#examples ~ table tbody tr").First(), "reference example")
	p = s.page("/compare?a=" + fresh[len("/watches/"):])
	want(t, p.Find("thead").First(), "the reference example")
}

// What a watch is compared with is picked from the others of its reference and from examples seen elsewhere; nothing is
// compared with a name that means nothing.
func TestComparisonPicksTheOther(t *testing.T) {
	s := serveBare(t)
	page := s.page("/watches/w_demo02/record?kind=comparison")
	choice := page.Find("select[name=other]")
	if n := choice.Find("option[value^=w_]").Length(); n < 2 {
		t.Fatalf("%d watches to choose from", n)
	}
	if choice.Find("option[value=w_demo02]").Length() > 0 {
		t.Error("it can be compared with itself")
	}
	want(t, choice, "file 4, KR-1")
	v := url.Values{"kind": {"comparison"}, "slot": {""}, "other": {"zzz"}, "result": {"better"}, "by": {"Ines"}}
	s.wantStatus(s.post("/watches/w_demo02/record", v), http.StatusUnprocessableEntity)
	v.Set("other", "w_demo04")
	s.wantStatus(s.post("/watches/w_demo02/record", v), http.StatusSeeOther)
	want(t, s.page("/watches/w_demo02").Find("main"), "file 4, Corvane KR-1")
}
