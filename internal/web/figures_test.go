package web_test

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// asked gets or posts as a browser of a country does.
func (s *site) asked(accept, method, path string, form url.Values) answer {
	s.t.Helper()
	r := s.request(method, path, strings.NewReader(form.Encode()))
	r.Header.Set("Accept-Language", accept)
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	return s.do(r)
}

func TestFiguresAsTheReaderWritesThem(t *testing.T) {
	s := look(t)
	for accept, mark := range map[string]string{"": ",", "de-DE,de;q=0.9": ".", "de-CH": "’"} {
		price := squeeze(
			s.asked(accept, http.MethodGet, watchPath(soundWatch), nil).
				page(t).
				Find("td[data-label='Price']").
				First().
				Text(),
		)
		if !regexp.MustCompile(`^\d{1,3}` + regexp.QuoteMeta(mark) + `\d{3}$`).MatchString(price) {
			t.Errorf("accepting %q the price of a sale is %q", accept, price)
		}
	}
	for _, path := range []string{"/", "/market", "/sales", watchPath(goldWatch), "/compare?a=" + string(goldWatch),
		"/book/corvane/KR-1", "/counter?reference=KR-1&asked=6500"} {
		if kind := s.asked("de", http.MethodGet, path,
			nil).Header.Get("Content-Type"); kind != "text/html; charset=utf-8" {
			t.Errorf("%s is sent as %q", path, kind)
		}
	}
	if a := s.asked("de", http.MethodGet, "/stock.csv", nil); strings.Contains(a.body, ";") {
		t.Error("files for other programs are written as ever")
	}
}

// A German reader finds one form of figures in the sentences of an opinion too.
func TestSentencesHaveTheReadersFigures(t *testing.T) {
	s := look(t)
	english, german := regexp.MustCompile(`\d,\d{3} EUR`), regexp.MustCompile(`\d\.\d{3} EUR`)
	lead := func(accept string) string {
		return squeeze(s.asked(accept, http.MethodGet, watchPath(goldWatch), nil).page(t).Find("#summary").Text())
	}
	if text := lead("de-DE"); english.MatchString(text) || !german.MatchString(text) {
		t.Errorf("a German reader finds %q", text)
	}
	if text := lead("en-GB"); !english.MatchString(text) || german.MatchString(text) {
		t.Errorf("an English reader finds %q", text)
	}
}

func TestTypedFiguresAreNeverGuessed(t *testing.T) {
	s := serveBare(t)
	record := watchPath(soundWatch) + "/record"
	size := func(mm string) url.Values {
		return url.Values{"kind": {"dimension"}, "what": {"lug_width"}, "mm": {mm}}
	}
	a := s.asked("de-DE", http.MethodPost, record, size("19,95"))
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(watchPath(soundWatch)).Find("#measured ~ table").First(), "19.95")
	for accept, text := range map[string]string{"de-DE": "19.950", "en": "19,950"} {
		a = s.asked(accept, http.MethodPost, record, size(text))
		s.wantStatus(a, http.StatusUnprocessableEntity)
		p := a.page(t)
		want(t, p.Find(".field.wrong .error"), "can be read two ways")
		if got := p.Find("#f-mm").AttrOr("value", ""); got != text {
			t.Errorf("typed %q, kept %q", text, got)
		}
	}
	ask := func(accept, text string) answer {
		return s.asked(
			accept,
			http.MethodPost,
			"/take-in",
			url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "asked": {text}},
		)
	}
	a = ask("de-DE", "6.500 EUR")
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find(".glance"), "6,500")
	a = ask("de-DE", "6,500 EUR")
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field.wrong .error"), "as 6,500 or as 6500")
	a = ask("en", "6.500 EUR")
	s.wantStatus(a, http.StatusUnprocessableEntity)
}

func TestFiguresAndUnitsAreSet(t *testing.T) {
	s := serveBare(t)
	form := url.Values{}
	p := s.page("/settings")
	p.Find("form[action='/settings'] input").Each(func(_ int, in elements) {
		if in.AttrOr("type", "") != "checkbox" {
			form.Set(in.AttrOr("name", ""), in.AttrOr("value", ""))
		}
	})
	p.Find("form[action='/settings'] select").Each(func(_ int, in elements) {
		form.Set(in.AttrOr("name", ""), in.Find("option[selected]").AttrOr("value", ""))
	})
	form.Set("locale", "fr-CH")
	form.Set("inches", "true")
	form.Set("fee", "7,5")
	s.wantStatus(s.post("/settings", form), http.StatusSeeOther)
	p = s.page("/settings")
	if got := p.Find("#f-locale option[selected]").AttrOr("value", ""); got != "fr-CH" ||
		p.Find("#f-inches[checked]").Length() != 1 {
		t.Errorf("kept as %q", got)
	}
	if got := p.Find("#f-fee").AttrOr("value", ""); got != "7,5" {
		t.Errorf("7,5 %% was kept as %s", got)
	}
	want(t, s.page("/book/corvane/KR-1").Find("#dimensions ~ .wide"), "34,40 (1,354 in)")
	form.Set("locale", "tlh")
	s.wantStatus(s.post("/settings", form), http.StatusUnprocessableEntity)
}
