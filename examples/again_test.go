package examples_test

import (
	"testing"

	"midcase/examples"
)

// Which figures are confused is common practice, no published source.
func TestSameSerial(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b string
		same bool
	}{
		{"214 459", "214459", true},
		{"214.459", "214'459", true},
		{"2I4459", "214459", true},
		{"21445S", "214455", true},
		{"O214459", "214459", true},
		{"A 214459", "a214459", true},
		{"214459", "214458", false},
		{"214459", "2144590", false},
		{"2144??", "2144??", false},
		{"21xxxx", "21xxxx", false},
		{"", "", false},
		{"KB-77", "k8 77", true},
	} {
		if got := examples.SameSerial(c.a, c.b); got != c.same {
			t.Errorf("%q and %q: %v; want %v", c.a, c.b, got, c.same)
		}
		if examples.SameSerial(c.a, c.b) != examples.SameSerial(c.b, c.a) {
			t.Errorf("%q and %q: not the same both ways", c.a, c.b)
		}
	}
}
