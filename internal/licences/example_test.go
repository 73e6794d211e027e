package licences_test

import (
	"fmt"

	"midcase/internal/licences"
)

func ExampleFind() {
	parts := []licences.Part{{Name: "example.org/fonts", Version: "v1.0.0", Licence: "OFL-1.1"},
		{Name: "example.org/sound", Version: "v2.1.0", Licence: "MIT"}}
	for _, p := range licences.Find(parts, "Fonts") {
		fmt.Println(p.Name, p.Version, p.Licence)
	}
	// Output: example.org/fonts v1.0.0 OFL-1.1
}
