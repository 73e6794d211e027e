package reply_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"

	"midcase/internal/web/reply"
)

func ExampleKept() {
	kept := reply.Hold()
	http.Error(kept, "not there", http.StatusNotFound)
	w := httptest.NewRecorder()
	fmt.Println(kept.Status, w.Body.Len())
	kept.Send(w)
	fmt.Println(w.Code, w.Body.Len())
	// Output:
	// 404 0
	// 404 10
}
