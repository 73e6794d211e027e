package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

func TestWebhooksPage(t *testing.T) {
	s := serveBare(t)
	a := s.post("/settings/webhooks", url.Values{"act": {"add"}, "url": {"http://example.com"}, "watch": {"on"}})
	s.wantStatus(a, http.StatusUnprocessableEntity)
	if !strings.Contains(a.body, "https://example.com/changes") {
		t.Error("an address without TLS is not explained")
	}
	a = s.post("/settings/webhooks", url.Values{"act": {"add"}, "url": {"https://example.com/in"}, "watch": {"on"}})
	s.wantStatus(a, http.StatusOK)
	if !strings.Contains(a.body, "whsec_") {
		t.Error("the secret is not shown")
	}
	d := s.page("/settings/webhooks")
	if says := d.Text(); strings.Contains(says, "whsec_") || !strings.Contains(says, "https://example.com/in") ||
		!strings.Contains(says, "Nothing sent yet.") {
		t.Errorf("the page: %s", says)
	}
	id, _ := d.Find("input[name=id]").Attr("value")
	s.wantStatus(s.post("/settings/webhooks", url.Values{"act": {"drop"}, "id": {id}}), http.StatusSeeOther)
	if says := s.page("/settings/webhooks").Text(); !strings.Contains(says, "No address yet.") {
		t.Errorf("after it was removed: %s", says)
	}
}
