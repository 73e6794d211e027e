package attack

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
	"midcase/internal/web"
)

// target is a shop that is served, with one watch on offer.
type target struct {
	*shoptest.Bench
	t     *testing.T
	url   string
	watch shop.WatchID
}

func serve(t *testing.T) *target {
	t.Helper()
	b := shoptest.New(t).WithClients(t)
	srv := httptest.NewServer(web.New(b.Shop, web.Options{User: "Ines"}))
	t.Cleanup(srv.Close)
	return &target{Bench: b, t: t, url: srv.URL, watch: b.Offered(t)}
}

func (s *target) path(rest string) string { return "/watches/" + string(s.watch) + rest }

// send sends a request and returns status and text of the answer; redirects are not followed.
func (s *target) send(method, path, kind string, body io.Reader) (int, string) {
	s.t.Helper()
	r, err := http.NewRequestWithContext(s.t.Context(), method, s.url+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		s.t.Fatalf("%s %s: %v", method, path, err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatalf("%s %s: %v", method, path, err)
	}
	return res.StatusCode, string(text)
}

func (s *target) post(path string, form url.Values) (int, string) {
	s.t.Helper()
	return s.send(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

func (s *target) get(path string) (int, string) {
	s.t.Helper()
	return s.send(http.MethodGet, path, "", nil)
}
