package client_test

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"

	"midcase/client"
)

func ExampleShop_Watch() {
	// A shop that knows one watch stands in for a real one.
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/api/v1/watches/w_1" {
			w.Header().Set("Content-Type", "application/problem+json")
			w.WriteHeader(http.StatusNotFound)
			fmt.Fprint(w, `{"title":"Not Found","status":404,"detail":"There is no such entry: watch w_2."}`)
			return
		}
		w.Header().Set("ETag", `"3"`)
		fmt.Fprint(w, `{"id":"w_1","number":1,"title":"Corvane KR-1","state":"listed","version":3}`)
	}))
	defer srv.Close()

	shop := client.New(srv.URL, "midcase_TOKEN", nil)
	ctx := context.Background()
	w, tag, err := shop.Watch(ctx, "w_1")
	fmt.Println(w.Title, w.State, tag, err)
	_, _, err = shop.Watch(ctx, "w_2")
	fmt.Println(client.Is(err, http.StatusNotFound), err)
	// Output:
	// Corvane KR-1 listed "3" <nil>
	// true GET /watches/w_2: There is no such entry: watch w_2.
}
