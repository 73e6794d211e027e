package storetest_test

import (
	"context"
	"fmt"
	"strings"

	"midcase/internal/storetest"
)

// Memory stands in for a folder of blobs in the tests of other packages.
func ExampleMemory() {
	var blobs storetest.Memory
	sha, size, err := blobs.Put(context.Background(), strings.NewReader("abc"), 10)
	fmt.Println(sha[:8], size, err)
	_, _, err = blobs.Put(context.Background(), strings.NewReader("too much for it"), 10)
	fmt.Println(err)
	// Output:
	// ba7816bf 3 <nil>
	// put blob: too large: more than 10 bytes
}
