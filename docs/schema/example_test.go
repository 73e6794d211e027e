package schema_test

import (
	"encoding/json"
	"fmt"

	"midcase/docs/schema"
)

func ExampleFile() {
	b, err := schema.File("watch.schema.json")
	var says struct{ Title string }
	fmt.Println(err, json.Unmarshal(b, &says), says.Title)
	// Output: <nil> <nil> Watch file
}
