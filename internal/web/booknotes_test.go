package web_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"github.com/PuerkitoBio/goquery"
)

// understood is the form of what was understood, as it stands.
func understood(p *goquery.Document) url.Values {
	v := url.Values{}
	p.Find("form:has(.understood)").Find("input").Each(func(_ int, in *goquery.Selection) {
		if _, checked := in.Attr("checked"); in.AttrOr("type", "") != "checkbox" || checked {
			v.Add(in.AttrOr("name", ""), in.AttrOr("value", ""))
		}
	})
	v.Set("do", "save")
	return v
}

const orloNotes = "Orlo\n\nK-1: diver in steel, 1958 to 1964, 37 mm. Dial grey until about 1960, then black. I find them lovely things."

// Notes become entries of the book: dropped lines stay out, mended ones are as mended, and
// what was not understood stays as a note.
func TestNotesBecomeEntriesOfTheBook(t *testing.T) {
	s := serveEmpty(t)
	a := s.post("/book-notes", url.Values{"text": {orloNotes}})
	s.wantStatus(a, http.StatusOK)
	p := a.page(t)
	want(t, p.Find(".notes-text mark"), "1958 to 1964")
	want(t, p.Find(".notes-text .unread"), "I find them lovely things")
	v := understood(p)
	if len(v["keep"]) != 5 {
		t.Fatalf("%d lines understood; want made, metal, size and two dials", len(v["keep"]))
	}

	wrong := url.Values{}
	for k, x := range v {
		wrong[k] = x
	}
	wrong.Set("p0.when", "soon")
	a = s.post("/book-notes", wrong)
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".notice.wrong"), "“soon” is not a time")
	s.wantStatus(s.get("/book/orlo"), http.StatusNotFound)

	v.Set("p0.when", "1957/1964")
	v["keep"] = []string{"p0", "p1", "p3", "p4"} // without the size
	a = s.post("/book-notes", v)
	s.wantStatus(a, http.StatusSeeOther)
	entry := s.page("/book/orlo/k-1")
	want(t, entry.Find("main"), "1957")
	if entry.Find("main:contains('37 mm')").Length() > 0 {
		t.Error("the dropped size is in the book")
	}
	want(t, s.page("/book").Find("main"), "I find them lovely things")
}

// Further references join a maker that the book has; those it has are not written twice.
func TestNotesJoinTheBook(t *testing.T) {
	s := serveEmpty(t)
	first := s.post("/book-notes", url.Values{"text": {orloNotes}})
	s.wantStatus(s.post("/book-notes", understood(first.page(t))), http.StatusSeeOther)

	again := s.post("/book-notes", url.Values{"text": {orloNotes}})
	a := s.post("/book-notes", understood(again.page(t)))
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".notice.wrong"), "The book has K-1 of Orlo already")

	more := s.post("/book-notes", url.Values{"text": {"K-2: chronograph, 1961 to 1966, 38 mm, steel."}, "named": {"Orlo"}})
	s.wantStatus(s.post("/book-notes", understood(more.page(t))), http.StatusSeeOther)
	book := s.page("/book").Find("main")
	want(t, book, "K-1")
	want(t, book, "K-2")
}

// A file of the book that was broken by hand is said on every page; the last good book is
// used.
func TestABrokenBookIsSaidOnEveryPage(t *testing.T) {
	s := serveBare(t)
	if n := s.page("/").Find(".notice:contains('has a mistake')").Length(); n != 0 {
		t.Fatal("a book in order is called broken")
	}
	file := filepath.Join(s.dir, "book", "corvane.yaml")
	if err := os.WriteFile(file, []byte("schema: 1\nid: [\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/", "/book", "/market"} {
		want(t, s.page(path).Find(".notice[role=alert]"), "The reference book has a mistake")
	}
	want(t, s.page("/book").Find("main"), "KR-1")
}

func TestNotesWithNothingInThem(t *testing.T) {
	s := serveEmpty(t)
	a := s.post("/book-notes", url.Values{"text": {"I like watches."}})
	want(t, a.page(t).Find(".notice"), "Nothing was understood as an entry of the book")
	s.wantStatus(s.post("/book-notes", url.Values{"text": {" "}}), http.StatusUnprocessableEntity)
	nameless := s.post("/book-notes", url.Values{"text": {"K-2: chronograph, 1961 to 1966, 38 mm, steel."}})
	a = s.post("/book-notes", understood(nameless.page(t)))
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find(".notice.wrong"), "Enter the maker")
}
