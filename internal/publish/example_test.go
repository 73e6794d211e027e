package publish_test

import (
	"fmt"

	"midcase/internal/publish"
	"midcase/telling"
)

func Example() {
	s := publish.Site{Name: "Watches at the Mill", Langs: []string{"en"}, Watches: []publish.Watch{{Number: 12,
		Maker: "Lindgard", Reference: "L-9", Told: map[string]telling.Told{"en": {Title: "Lindgard L-9"}}}}}
	files, err := s.Files()
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		fmt.Println(f.Path)
	}
	// Output:
	// style.css
	// 12-lindgard-l-9.html
	// index.html
	// feed.json
	// feed.xml
}
