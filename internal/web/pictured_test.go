package web_test

import (
	"strings"
	"testing"

	"midcase/evidence"
)

// The picture of a watch stands wherever the watch is one of several: stock, calendar, who wants it, papers.
func TestThePictureStandsInLists(t *testing.T) {
	s, id, path := desk(t)
	blob := addPicture(t, s, id, "front").Data.(*evidence.Photo).Blob
	s.step(path, "buy", "amount", "5,000", "client", "Selma Lund", "new_client", "1", "client_kind", "person", "paper",
		"passport", "number", "X1", "day", "2026-03-02", "document", "P-1", "place", "safe")
	s.step(path, "at_watchmaker", "holder", "The Bench", "due", "2026-04-01", "day", "2026-03-03")
	for _, at := range []string{"/", "/calendar", watchPath(id) + "/matches", "/documents?q=KR-1",
		"/documents?watch=" + string(id)} {
		src := s.page(at).Find("img.thumb").First().AttrOr("src", "")
		if !strings.HasPrefix(src, "/pictures/"+blob) {
			t.Errorf("%s shows the picture %q", at, src)
		}
	}
}
