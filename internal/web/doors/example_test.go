package doors_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"

	"midcase/internal/web/doors"
)

func ExampleHosts_Handler() {
	pages := http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "the stock") })
	h := doors.Hosts{Names: []string{"shop.example"}}.Handler(pages)
	for _, address := range []string{"https://shop.example/", "http://elsewhere.example/"} {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, address, nil))
		fmt.Println(address, w.Code)
	}
	// Output:
	// https://shop.example/ 200
	// http://elsewhere.example/ 421
}
