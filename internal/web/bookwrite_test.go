package web_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"midcase/refbook"
)

// filledIn is the page of a reference as a browser would send it.
func (s *site) filledIn(path string) url.Values {
	s.t.Helper()
	v := url.Values{}
	form := s.page(path).Find("form[data-write-book]")
	form.Find("input, textarea, select").Each(func(_ int, f *goquery.Selection) {
		name, value := f.AttrOr("name", ""), f.AttrOr("value", "")
		switch {
		case name == "" || f.AttrOr("type", "") == "checkbox" && f.AttrOr("checked", "no") == "no":
			return
		case f.Is("textarea"):
			value = f.Text()
		case f.Is("select"):
			value = f.Find("option[selected]").AttrOr("value", "")
		}
		v.Set(name, value)
	})
	return v
}

// Every reference of the book that is opened and saved unchanged comes back to the last leaf, numbers and all; a
// changed field changes its leaf alone.
func TestReferenceSavedAsItIsStaysTheSame(t *testing.T) {
	s := serveBare(t)
	read := func() refbook.Maker {
		text, err := os.ReadFile(filepath.Join(s.dir, "book", "corvane.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		m, problems := refbook.ReadMaker("corvane.yaml", text)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return m
	}
	before := read()
	for _, ref := range before.References {
		page := "/book-write?maker=corvane&reference=" + url.QueryEscape(ref.ID)
		v := s.filledIn(page)
		v.Set("do", "save")
		s.wantStatus(s.post("/book-write", v), http.StatusSeeOther)
		if got := read(); !reflect.DeepEqual(got, before) {
			t.Fatalf("saving %s as it is changed the book:\n%+v\n%+v", ref.ID, got, before)
		}
	}
	v := s.filledIn("/book-write?maker=corvane&reference=KR-2")
	v.Set("note", "seen twice")
	v.Set("do", "save")
	s.wantStatus(s.post("/book-write", v), http.StatusSeeOther)
	want := before
	for i := range want.References {
		if want.References[i].ID == "KR-2" {
			want.References[i].Note = "seen twice"
		}
	}
	if got := read(); !reflect.DeepEqual(got, want) {
		t.Errorf("a note changed more than itself:\n%+v\n%+v", got, want)
	}

	v = s.filledIn("/book-write?maker=corvane&reference=KR-2")
	v.Set("calibres.0.beats", "19801")
	v.Set("do", "save")
	a := s.post("/book-write", v)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	if text := a.page(t).Find(".error").Text(); text == "" {
		t.Error("other figures of a movement that the book has were passed over")
	}
}
