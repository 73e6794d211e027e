package status_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"

	"midcase/internal/status"
)

func Example() {
	s := status.New(context.Background(), func(context.Context) error { return nil })
	w := httptest.NewRecorder()
	s.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/readyz", nil))
	fmt.Print(w.Code, " ", w.Body)
	// Output: 200 ready
}
