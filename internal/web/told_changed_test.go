package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
)

// After evidence that changes what is told, the page of an edited text says what changed, holds the change in the text
// and the dealer's own sentence beside it; a new fault is told before the text was looked at again.
func TestTheOpinionChangedSinceATextWasKept(t *testing.T) {
	t.Parallel()
	s := serveBare(t)
	watch := watchPath(soundWatch)
	edit := watch + "/listing/edit"
	text := s.page(edit).Find("textarea[name=text]").Text()
	form := url.Values{"for": {"page"}, "language": {"en"}, "characters": {"2000"}, "after": {"0"}, "do": {"keep"},
		"text": {text + "\n\nOffered by us since spring."}}
	s.wantStatus(s.post(edit, form), http.StatusSeeOther)
	if n := s.page(edit).Find("section[aria-label='What changed since']").Length(); n != 0 {
		t.Errorf("%d boxes before anything changed", n)
	}
	if _, err := s.shop.Intake.Record(t.Context(), soundWatch, "tester", &evidence.Finding{Slot: evidence.CaseBack,
		Term: "corrosion", Severity: 3}); err != nil {
		t.Fatal(err)
	}
	p := s.page(edit)
	box := p.Find("section[aria-label='What changed since']")
	want(t, box, "The opinion changed since you wrote this")
	if box.Find("fieldset").Length() == 0 {
		t.Error("no change is listed")
	}
	now := p.Find("textarea[name=text]").Text()
	if !strings.Contains(now, "since spring") || now == form.Get("text") {
		t.Errorf("the text is not merged:\n%s", now)
	}
	want(t, s.page(watch+"/listing").Find("main"), "look at what changed")
	want(t, s.page(watch+"/listing").Find("article.told"), "since spring")
}
