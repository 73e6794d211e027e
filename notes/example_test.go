package notes_test

import (
	"encoding/json"
	"fmt"

	"midcase/notes"
)

// Shorthand becomes proposals; what is denied is not proposed.
func ExampleRead() {
	r := notes.Read("dl spots 1 3-5 no relume, crown 6.4", notes.Options{})
	for _, it := range r.Items {
		b, err := json.Marshal(it.Data)
		fmt.Println(it.Data.Kind(), string(b), err)
	}
	// Output:
	// finding {"slot":"dial","term":"spotting","severity":2,"where":"between 3 and 5"} <nil>
	// finding {"slot":"dial","term":"lume_intact","severity":0} <nil>
	// dimension {"what":"crown_diameter","mm":6.4} <nil>
}
