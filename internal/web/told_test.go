package web_test

import (
	"net/http"
	"strings"
	"testing"
)

// Each sentence of a listing leads to evidence that the watch's page shows, in every form
// and language; a watch that is sold is not told of.
func TestAListingLeadsToItsEvidence(t *testing.T) {
	t.Parallel()
	s := serve(t)
	watch := watchPath(soundWatch)
	shown := s.page(watch)
	for _, query := range []string{"", "?for=message&language=de", "?for=talk&language=fr", "?for=post&language=it",
		"?for=catalogue"} {
		p := s.page(watch + "/listing" + query)
		article := p.Find("article.told")
		if article.Length() != 1 || strings.TrimSpace(article.Text()) == "" {
			t.Fatalf("%s: nothing is told", query)
		}
		links := article.Find("a[href]")
		if links.Length() == 0 && !strings.Contains(query, "post") {
			t.Errorf("%s: no sentence leads to its evidence", query)
		}
		links.Each(func(_ int, a elements) {
			href, _ := a.Attr("href")
			_, id, _ := strings.Cut(href, "#")
			if shown.Find(`[id="`+id+`"]`).Length() == 0 {
				t.Errorf("%s: %q leads to %s, which the watch's page does not show", query, a.Text(), href)
			}
		})
		if text := p.Find("textarea").Text(); len(text) < 100 {
			t.Errorf("%s: the text to copy is %q", query, text)
		}
	}
}

// A watch that is sold is not told of, and the page says so.
func TestASoldWatchIsNotToldOf(t *testing.T) {
	t.Parallel()
	s := serveEmpty(t)
	got := s.get(watchPath(soldWatch(t, s)) + "/listing")
	s.wantStatus(got, http.StatusOK)
	if !strings.Contains(got.body, "This watch is sold") || strings.Contains(got.body, "Text to copy") {
		t.Error("a watch that is sold is told of")
	}
}
