package status_test

import (
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"midcase/internal/status"
)

func get(t *testing.T, h http.Handler, path string) (int, string) {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	b, _ := io.ReadAll(w.Result().Body)
	return w.Code, string(b)
}

// A server lives while it answers, is ready while its store answers, and is not ready once it stops; what keeps it is
// told to nobody.
func TestReadiness(t *testing.T) {
	t.Parallel()
	ctx, stop := context.WithCancel(t.Context())
	var trouble error
	s := status.New(ctx, func(context.Context) error { return trouble })
	h := s.Handler()
	want := func(path string, code int) {
		t.Helper()
		if got, text := get(t, h, path); got != code || strings.Contains(text, "db.example") {
			t.Errorf("%s: %d %q; want %d", path, got, text, code)
		}
	}
	want("/healthz", http.StatusOK)
	want("/readyz", http.StatusOK)
	trouble = errors.New("no connection to db.example:5432 as anna")
	want("/readyz", http.StatusServiceUnavailable)
	want("/healthz", http.StatusOK)
	want("/metrics", http.StatusOK)
	trouble = nil
	stop()
	want("/readyz", http.StatusServiceUnavailable)
	want("/clients", http.StatusNotFound)
}

// Requests are counted by method and code, without their addresses, and methods that are made up are one.
func TestRequestsAreCounted(t *testing.T) {
	t.Parallel()
	s := status.New(t.Context(), func(context.Context) error { return nil })
	shop := s.Counted(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/" {
			w.WriteHeader(http.StatusNotFound)
		}
	}))
	for _, path := range []string{"/", "/", "/clients/anna"} {
		get(t, shop, path)
	}
	shop.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest("PURGE", "/", nil))
	_, text := get(t, s.Handler(), "/metrics")
	for _, want := range []string{`midcase_http_requests_total{code="200",method="GET"} 2`,
		`midcase_http_requests_total{code="404",method="GET"} 1`,
		`midcase_http_requests_total{code="200",method="other"} 1`, "midcase_http_request_seconds_count 4",
		"midcase_ready 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s", want)
		}
	}
	if strings.Contains(text, "anna") {
		t.Error("an address of a page is among the figures")
	}
}
