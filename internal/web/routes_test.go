package web_test

import (
	"net/http"
	"strings"
	"testing"
)

// TestEveryPage asks for each address that can be asked for and looks for the one
// thing that it is there to show.
func TestEveryPage(t *testing.T) {
	s := look(t)
	for _, c := range []struct{ path, selector, text string }{
		{"/", "table.stock tbody tr th a", "Corvane KR-1"},
		{"/?q=KR-2&sort=-value", "table.stock tbody tr", "KR-2"},
		{"/?metal=gold18", "table.stock tbody tr", "KR-8-18"},
		{"/?todo=decide", "table.stock td.state", "offered"},
		{"/?page=2", ".notice", "No watch matches"},
		{"/?q=nothing-like-it", ".notice", "No watch matches"},
		{"/take-in", "form[action='/take-in'] input[name=serial]", ""},
		{"/counter", "form[action='/counter'] input[name=reference]", ""},
		{"/counter?reference=Corvane+KR-1&serial=1965&condition=7&set=full&asked=6500", ".answer-now",
			"Pay no more than"},
		{watchPath(soundWatch), "#summary", "Made in May 1968"},
		{watchPath(soundWatch) + "/change", "select[name=state] option[selected]", "listed"},
		{watchPath(soundWatch) + "/record", "nav[aria-label='Kinds of evidence']", "Weighing"},
		{watchPath(soundWatch) + "/record?kind=fitted&slot=dial", "fieldset legend", "Version"},
		{watchPath(soundWatch) + "/record?kind=finding&slot=dial", "select[name=term] option", "patina"},
		{watchPath(soundWatch) + "/record?kind=photo", "input[type=file]", ""},
		{"/book", "h2#corvane", "Corvane"},
		{"/book/corvane/KR-1", "h1", "Corvane KR-1"},
		{"/book-difference?a=corvane/KR-1&b=corvane/KR-2", "table tbody tr th", "case back"},
		{"/market", "h2", "Price index"},
		{"/market?of=gold18&over=steel&maker=Corvane", "h2", "Price index of Corvane"},
		{"/terms", "tr#patina", "patina"},
		{"/settings", "input[name=wanted_margin]", ""},
	} {
		sel := s.page(c.path).Find(c.selector)
		if sel.Length() == 0 || !strings.Contains(squeeze(sel.Text()), c.text) {
			t.Errorf("GET %s: %s says %q; want %q", c.path, c.selector, squeeze(sel.Text()), c.text)
		}
	}
}

// TestFiles asks for what is no page.
func TestFiles(t *testing.T) {
	s := look(t)
	for _, c := range []struct{ path, media, start string }{
		{"/healthz", "text/plain", "ok"},
		{"/assets/midcase.css", "text/css", "/* Midcase"},
		{"/assets/mark.svg", "image/svg+xml", "<"},
		{"/stock.csv", "text/csv", "number,title,"},
		{watchPath(soundWatch) + "/report.pdf", "application/pdf", "%PDF-"},
		{watchPath(soundWatch) + "/report.md", "text/markdown", "#"},
		{"/api/watches", "application/json", "["},
	} {
		a := s.get(c.path)
		s.wantStatus(a, http.StatusOK)
		if media := a.Header.Get("Content-Type"); !strings.HasPrefix(media, c.media) {
			t.Errorf("GET %s: %q; want %s", c.path, media, c.media)
		}
		if !strings.HasPrefix(a.body, c.start) {
			t.Errorf("GET %s begins %.20q; want %q", c.path, a.body, c.start)
		}
	}
}

func TestWhatIsNotThere(t *testing.T) {
	s := look(t)
	for _, path := range []string{
		"/nowhere", "/watches/none", "/watches/none/record", "/watches/none/change", "/watches/none/report.pdf", "/sales/none", "/pictures/none",
		"/pictures/" + strings.Repeat("0", 64), "/book/nobody/1", "/book/corvane/none", "/book-difference?a=corvane/KR-1&b=corvane/none", "/api/watches/none", "/api/watches/none/opinion",
		"/api/sales/none", "/assets/none.css", "/assets/", "/?state=lost",
		"/assets/..%2f..%2fgo.mod", "/assets/%2e%2e/%2e%2e/go.mod", "/pictures/..%2f..%2fmidcase.db", "/pictures/%2e%2e%2fmidcase.db", "/watches/..%2f..%2fmidcase.db",
	} {
		a := s.get(path)
		s.wantStatus(a, http.StatusNotFound)
		if strings.Contains(a.body, "module midcase") || strings.Contains(a.body, "SQLite format") {
			t.Errorf("GET %s gave a file away", path)
		}
	}
	for _, c := range []struct{ method, path string }{{"DELETE", watchPath(soundWatch)}, {"PUT", "/settings"},
		{"POST", "/market"}, {"GET", watchPath(soundWatch) + "/withdraw"}, {"POST", "/api/watches"}} {
		a := s.do(s.request(c.method, c.path, nil))
		if a.StatusCode != http.StatusMethodNotAllowed && a.StatusCode != http.StatusNotFound {
			t.Errorf("%s %s: status %d; want 405", c.method, c.path, a.StatusCode)
		}
	}
}

func TestEmptyShopSaysWhatToDo(t *testing.T) {
	s := serveEmpty(t)
	want(t, s.page("/").Find(".notice a[href='/take-in']"), "Take the first watch in")
	want(t, s.page("/market").Find(".notice"), "No sales yet. Import a sales file")
	want(t, s.page("/counter?reference=Corvane+KR-1").Find(".answer-now"),
		"No value: there are no sales to value it by")
}
