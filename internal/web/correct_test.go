package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/opinion"
)

// A file that was opened under the wrong reference is put right; opinion and list follow, what it was stays on the
// record, and the opinion as of the day before is that on the old one.
func TestAFileIsCorrected(t *testing.T) {
	s := serveBare(t)
	path := watchPath(soundWatch) + "/correct"
	a := s.post(path, url.Values{"maker": {"Corvane"}, "reference": {"kr-2"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	want(t, a.page(t).Find("#e-reason"), "")
	a = s.post(path, url.Values{"maker": {"Corvane"}, "reference": {"KR-1"}, "reason": {"read again"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	a = s.post(path, url.Values{"maker": {"corvane"}, "reference": {"kr-2"}, "reason": {"moon in quarters"}})
	s.wantStatus(a, http.StatusSeeOther)
	p := s.page(a.Header.Get("Location"))
	want(t, p.Find("h1"), "Corvane KR-2 Plenaire, moon in quarters")
	want(t, p.Find("#kind-correction"), "Corrections of the file")
	want(t, p.Find(".taken"), "from Corvane KR-1 to Corvane KR-2: moon in quarters")
	if n := s.page("/?q=" + url.QueryEscape("KR-2 414459")).Find("table.stock tbody tr").Length(); n != 1 {
		t.Errorf("the list finds %d watches of the new reference and the number", n)
	}
	o, err := s.shop.Opinion(t.Context(), soundWatch, now.Add(time.Hour))
	if err != nil || o.Watch.Reference != "KR-2" {
		t.Errorf("the opinion is on %s, %v", o.Watch.Reference, err)
	}
	before, file, err := s.shop.OpinionOn(t.Context(), soundWatch, now.AddDate(0, 0, -1), opinion.Settings{})
	if err != nil || before.Watch.Reference != "KR-1" || !strings.Contains(before.Watch.Title, "moon in days") {
		t.Errorf("as of the day before it is on %s, %s, %v", before.Watch.Reference, before.Watch.Title, err)
	}
	if n := len(evidence.All[*evidence.Correction](file)); n != 0 {
		t.Errorf("%d corrections before there was one", n)
	}
}
