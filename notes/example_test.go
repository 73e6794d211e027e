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

func ExampleReadBook() {
	r := notes.ReadBook("Orlo\n\nK-1: diver in steel, 1958 to 1964, 37 mm. Dial grey until about 1960, then black.", "")
	ref := r.Makers[0].References[0]
	fmt.Println(ref.ID, ref.Made.Value, ref.Metals[0].Value)
	for _, v := range ref.Slots[0].Variants {
		fmt.Println(v.Name, v.Windows[0].Made)
	}
	// Output:
	// K-1 1958/1964 steel
	// grey 1958/1960
	// black 1960/1964
}
