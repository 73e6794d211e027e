package web_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
)

// edited is the form of the editor as it stands, to be changed and sent.
func (s *site) edited(path string) url.Values {
	s.t.Helper()
	form := s.page(path).Find("form:has(#text)")
	v := url.Values{"text": {form.Find("#text").Text()}, "why": {"a dated card was seen"}, "do": {"save"}}
	form.Find("input[type=hidden]").Each(func(_ int, in *goquery.Selection) {
		v.Set(in.AttrOr("name", ""), in.AttrOr("value", ""))
	})
	return v
}

func TestBookIsEdited(t *testing.T) {
	s := serveBare(t)
	const page = "/book-edit/corvane?part=KR-2"
	v := s.edited(page)
	if !strings.HasPrefix(v.Get("text"), `  - id: "KR-2"`) || strings.Contains(v.Get("text"), `- id: "KR-1"`) {
		t.Fatalf("the part begins %.60q", v.Get("text"))
	}
	before := s.page(watchPath(swappedWatch)).Find("#summary").Text()

	wrong := strings.Replace(v.Get("text"), "family:", "famly:", 1)
	a := s.post("/book-edit/corvane", url.Values{"text": {strings.ReplaceAll(wrong, "\n", "\r\n")}, "base": v["base"],
		"was": v["was"], "part": v["part"], "why": {"x"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	p := a.page(t)
	want(t, p.Find(".problems li"), "Line 2")
	want(t, p.Find(".problems .here"), "famly")
	if got := p.Find("#text").Text(); got != wrong {
		t.Error("what was typed is gone")
	}

	v.Set("text", strings.Replace(v.Get("text"), `made: "1965-03/1970-12"`, `made: "1966-02/1970-12" # late start`, 1))
	noReason := url.Values{"text": v["text"], "base": v["base"], "was": v["was"], "part": v["part"]}
	a = s.post("/book-edit/corvane", noReason)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".field.wrong .error"), "why the book changes")

	v.Set("do", "check")
	a = s.post("/book-edit/corvane", v)
	s.wantStatus(a, http.StatusOK)
	want(t, a.page(t).Find(".notice[role=status]"), "the opinion changes for 1")
	v.Set("do", "save")
	a = s.post("/book-edit/corvane", v)
	s.wantStatus(a, http.StatusSeeOther)
	if now := s.page(watchPath(swappedWatch)).Find("#summary").Text(); now == before {
		t.Error("opinions do not use the new book")
	}
	want(t, s.page("/book/corvane/KR-2").Find(".glance"), "Feb 1966")

	p = s.page("/book-versions/corvane/2")
	want(t, p.Find("tbody tr").First(), "a dated card was seen")
	want(t, p.Find(".diff ins"), "late start")
	base := p.Find("form input[name=base]").AttrOr("value", "")
	if base != "" {
		t.Error("the version in force is offered to be restored")
	}
	p = s.page("/book-versions/corvane/1")
	a = s.post("/book-versions/corvane/1", url.Values{"base": {p.Find("input[name=base]").AttrOr("value", "")},
		"why": {"the card was of another watch"}})
	s.wantStatus(a, http.StatusSeeOther)
	if now := s.page(watchPath(swappedWatch)).Find("#summary").Text(); now != before {
		t.Errorf("restored, yet %q", squeeze(now))
	}
}

func TestTwoWindowsOnTheBook(t *testing.T) {
	s := serveBare(t)
	one, two, three := s.edited("/book-edit/corvane?part=KR-2"), s.edited("/book-edit/corvane?part=KR-2"), s.edited("/book-edit/corvane?part=KR-1")
	one.Set("text", one.Get("text")+"\n    # one")
	two.Set("text", two.Get("text")+"\n    # two")
	three.Set("text", three.Get("text")+"\n    # three")
	s.wantStatus(s.post("/book-edit/corvane", one), http.StatusSeeOther)
	a := s.post("/book-edit/corvane", two)
	s.wantStatus(a, http.StatusConflict)
	p := a.page(t)
	want(t, p.Find("[role=alert]"), "Somebody else changed this file")
	if !strings.Contains(p.Find("#text").Text(), "# two") {
		t.Error("what was typed is gone")
	}
	// Another reference of the same file is no conflict, and both stand.
	s.wantStatus(s.post("/book-edit/corvane", three), http.StatusSeeOther)
	text := s.page("/book-edit/corvane").Find("#text").Text()
	if !strings.Contains(text, "# one") || !strings.Contains(text, "# three") || strings.Contains(text, "# two") {
		t.Error("not what the first and the third wrote")
	}
}

func TestQuickFormsOfTheBook(t *testing.T) {
	s := serveBare(t)
	a := s.post("/book-edit/corvane/variant", url.Values{"part": {"KR-2"}, "slot": {"dial"}, "id": {"dial 9"},
		"name": {"Blue dial"}, "share": {"2"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	p := a.page(t)
	for field, says := range map[string]string{"id": "dial 9", "made": "when it was fitted", "share": "2",
		"why": "Enter"} {
		want(t, p.Find("#e-version-"+field), says)
	}
	if got := p.Find("#version-name").AttrOr("value", ""); got != "Blue dial" {
		t.Errorf("the name typed is %q", got)
	}
	a = s.post("/book-edit/corvane/variant", url.Values{"part": {"KR-2"}, "slot": {"dial"}, "id": {"dial-9"},
		"name": {"Blue dial"}, "made": {"1966/1968"}, "share": {"0,2"}, "why": {"seen"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page("/book/corvane/KR-2").Find("[id='dial/dial-9']"), "Blue dial")
	a = s.post("/book-edit/corvane/anchor", url.Values{"serial": {"corvane-case"}, "number": {"300000"},
		"month": {"1960-01"}, "why": {"a card"}})
	s.wantStatus(a, http.StatusUnprocessableEntity) // months must rise with the numbers
	want(t, a.page(t).Find("[role=alert]"), "months must rise")
	a = s.post("/book-edit/corvane/anchor", url.Values{"serial": {"corvane-case"}, "number": {"300000"},
		"month": {"1965-07"}, "source": {"a card"}, "why": {"a card"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page("/book/corvane").Find("[id='serial/corvane-case'] ~ details"), "300,000")
}

func TestNewMaker(t *testing.T) {
	s := serveBare(t)
	text := s.page("/book-edit").Find("#text").Text()
	a := s.post("/book-edit", url.Values{"text": {text}, "why": {"a new maker"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(a.Header.Get("Location")).Find("h1"), "Full name")
	a = s.post("/book-edit", url.Values{"text": {text}, "why": {"again"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".problems"), "the book has this maker")
	a = s.post("/book-edit", url.Values{"text": {"schema: 1\nid: ../corvane\nname: x"}, "why": {"x"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	s.wantStatus(s.get("/book-edit/nobody"), http.StatusNotFound)
	s.wantStatus(s.get("/book-versions/corvane/77"), http.StatusNotFound)
}

// A file that was changed by hand while the program runs is not written over.
func TestBookChangedByHand(t *testing.T) {
	s := serveBare(t)
	v := s.edited("/book-edit/corvane")
	path := filepath.Join(s.dir, "book", "corvane.yaml")
	if err := os.WriteFile(path, []byte(v.Get("text")+"# by hand\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	a := s.post("/book-edit/corvane", v)
	s.wantStatus(a, http.StatusConflict)
	if b, err := os.ReadFile(path); err != nil || !strings.HasSuffix(string(b), "# by hand\n") {
		t.Errorf("the file: %v", err)
	}
}
