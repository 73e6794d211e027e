package web_test

import (
	"context"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/web"
)

// What nothing follows is not there; what has changed before the page asked is told at once.
func TestAPageIsToldWhatChangedBefore(t *testing.T) {
	s := serve(t)
	for _, of := range []string{"", "nothing", "watch/", "watch/w_unknown"} {
		if a := s.get("/changes?of=" + url.QueryEscape(of)); a.StatusCode != http.StatusNotFound {
			t.Errorf("of %q: %d", of, a.StatusCode)
		}
	}
	for of, says := range map[string]string{"stock": "The stock has changed", "counter": "Sales, settings"} {
		a := s.get("/changes?since=older&of=" + of)
		if !strings.Contains(a.body, "event: changed") || !strings.Contains(a.body, says) {
			t.Errorf("%s: %q", of, a.body)
		}
	}
	mark := s.page(watchPath(soundWatch)).Find("main").AttrOr("data-mark", "")
	s.wantStatus(s.post(watchPath(soundWatch)+"/record", url.Values{"kind": {"claim"}, "about": {"owner"},
		"text": {"an aunt"}}), http.StatusSeeOther)
	of := s.page(watchPath(soundWatch)).Find("main").AttrOr("data-now", "")
	if a := s.get("/changes?of=" + url.QueryEscape(of) + "&since=" + mark); !strings.Contains(a.body,
		"This watch has changed since you opened the page.") {
		t.Errorf("of %s since %s: %q", of, mark, a.body)
	}
}

// A server that is told to stop ends what pages follow, and stops without having to cut anything off.
func TestFollowingDoesNotKeepAServer(t *testing.T) {
	s, done, err := open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer done()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- web.Serve(ctx, l, web.New(s, web.Options{User: "tester"})) }()
	at := "http://" + l.Addr().String()
	page, err := http.Get(at + "/")
	if err != nil {
		t.Fatal(err)
	}
	body, err := io.ReadAll(page.Body)
	page.Body.Close()
	_, mark, _ := strings.Cut(string(body), `data-mark="`)
	mark, _, _ = strings.Cut(mark, `"`)
	if err != nil || mark == "" {
		t.Fatalf("%v: no mark on the page", err)
	}
	a, err := http.Get(at + "/changes?of=stock&since=" + mark)
	if err != nil {
		t.Fatal(err)
	}
	defer a.Body.Close()
	stop()
	if b, err := io.ReadAll(a.Body); err != nil || strings.Contains(string(b), "event:") {
		t.Errorf("the follower read %q, %v", b, err)
	}
	if err := <-ended; err != nil {
		t.Errorf("serve: %v", err)
	}
}
