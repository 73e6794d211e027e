package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/tesseract"
)

// Lettering is recorded as a person left it, names its picture, and what is odd is asked about first.
func TestLetteringIsRecordedFromThePicture(t *testing.T) {
	t.Parallel()
	s := serveEmpty(t)
	jpg, _ := frontPicture()
	id, path := s.benchOn("back", jpg)
	path = strings.Replace(path, "/bench", "/lettering", 1)
	page := s.get(path)
	s.wantStatus(page, http.StatusOK)
	if !tesseract.Installed() && !strings.Contains(page.body, "tesseract is not installed on this machine") {
		t.Errorf("without the command the page does not say so: %s", page.body)
	}
	s.wantStatus(s.post(path, url.Values{"what": {"serial"}, "text": {" 214459 "}, "slot": {"case_back"}}),
		http.StatusSeeOther)
	odd := s.post(path, url.Values{"what": {"serial"}, "text": {"214458"}, "slot": {"case_back"}})
	s.wantStatus(odd, http.StatusUnprocessableEntity)
	if !strings.Contains(odd.body, "already has the serial number 214459") {
		t.Errorf("a second number was not asked about: %s", odd.body)
	}
	s.wantStatus(s.post(path, url.Values{"what": {"number"}, "text": {"1"}}), http.StatusUnprocessableEntity)
	marks := evidence.All[*evidence.Mark](s.evidenceOf(id))
	if len(marks) != 1 || marks[0].Data.Text != "214459" || marks[0].Data.Photo == "" {
		t.Errorf("%+v, want one mark with its picture", marks)
	}
}
