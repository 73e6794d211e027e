package blobs_test

import (
	"context"
	"fmt"
	"io"
	"log"
	"os"
	"strings"

	"midcase/internal/blobs"
)

// Bytes go in and get a name; by the name they come out again. The name of "abc" is
// the one that FIPS 180-2, appendix B.1, prints.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "blobs")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)

	folder, err := blobs.Dir(dir)
	if err != nil {
		log.Fatal(err)
	}
	defer folder.Close()

	sha, size, err := folder.Put(ctx, strings.NewReader("abc"), 1<<20)
	if err != nil {
		log.Fatal(err)
	}
	file, err := folder.Open(ctx, sha)
	if err != nil {
		log.Fatal(err)
	}
	defer file.Close()
	b, err := io.ReadAll(file)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(size, sha)
	fmt.Println(string(b))
	// Output:
	// 3 ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad
	// abc
}
