package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
)

// A text of one's own is marked, kept, read everywhere, and neither printed nor published
// while a disclosure is left out.
func TestATextOfOnesOwn(t *testing.T) {
	t.Parallel()
	s := serveBare(t)
	watch := watchPath(soundWatch)
	edit := watch + "/listing/edit"
	p := s.page(edit)
	text := p.Find("textarea[name=text]").Text()
	if p.Find("#marks li").Length() > 0 {
		t.Errorf("the program's own text is marked: %s", p.Find("#marks").Text())
	}
	var faults string
	for _, l := range strings.Split(text, "\n") {
		if strings.HasPrefix(l, "Case:") || strings.HasPrefix(l, "Crystal:") || strings.HasPrefix(l, "The crystal") {
			faults = l
			break
		}
	}
	if faults == "" {
		t.Fatalf("nothing to leave out in\n%s", text)
	}
	without := strings.Replace(text, faults+"\n", "", 1) + "\n\nA stunning watch."
	form := url.Values{"for": {"page"}, "language": {"en"}, "characters": {"2000"}, "after": {"0"}, "text": {without}}
	form.Set("do", "marks")
	a := s.post(edit, form)
	s.wantStatus(a, http.StatusOK)
	if !strings.Contains(a.body, "stunning") || !strings.Contains(a.body, "Put it back") ||
		strings.Contains(a.body, "<html") {
		t.Fatalf("the marks are %s", a.words())
	}
	form.Set("do", "back:0")
	back := s.post(edit, form).page(t)
	if got := back.Find("textarea[name=text]").Text(); !strings.Contains(got, faults) {
		t.Errorf("what was put back is not in\n%s", got)
	}
	form.Set("do", "keep")
	s.post(edit, form)
	shown := s.page(watch + "/listing")
	if !strings.Contains(shown.Find(".notice.wrong").Text(), "leaves out what has to be disclosed") {
		t.Error("a text without a disclosure is shown as told")
	}
	if got := s.post("/documents", url.Values{"kind": {"listing"}, "watch": {string(soundWatch)}, "by": {"Ada"}}); got.StatusCode < 400 {
		t.Errorf("it is printed: %d %s", got.StatusCode, got.words())
	}
	form.Set("text", text+"\n\nOffered by us since spring.")
	if got := s.post(edit, form); got.StatusCode != http.StatusConflict || !strings.Contains(got.body, "since spring") {
		t.Errorf("a second text after the same version: %d", got.StatusCode)
	}
	form.Set("after", "1")
	s.post(edit, form)
	if got := s.page(watch + "/listing").Find("article.told").Text(); !strings.Contains(got, "since spring") {
		t.Errorf("the listing is\n%s", got)
	}
	ofPost := s.page(watch + "/listing?for=post").Text()
	if strings.Contains(ofPost, "since spring") {
		t.Error("another form has the text, too")
	}
	form.Set("after", "2")
	form.Set("do", "machine")
	s.post(edit, form)
	if got := s.page(watch + "/listing").Find("article.told").Text(); strings.Contains(got, "since spring") {
		t.Error("the program's text did not come back")
	}
	all, err := s.shop.Stores().Texts.Texts(t.Context(), soundWatch, shop.TextOf{})
	if err != nil || len(all) != 3 {
		t.Errorf("%d versions, %v; want all three", len(all), err)
	}
}
