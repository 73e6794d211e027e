package check_test

import (
	"context"
	"fmt"
	"log"
	"os"
	"path/filepath"

	"midcase/internal/blobs"
	"midcase/internal/check"
	"midcase/internal/store"
)

// A new shop is whole. A file among the blobs whose bytes are not those of its name is found.
func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "shop")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	st, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		log.Fatal(err)
	}
	defer st.Close()
	folder, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		log.Fatal(err)
	}
	defer folder.Close()
	shop := check.Parts{Store: st, Blobs: folder, Book: filepath.Join(dir, "book")}

	found, err := check.All(ctx, shop)
	fmt.Println(len(found), err)

	const name = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" // of abc
	if err := os.MkdirAll(filepath.Join(dir, "blobs", "ba", "78"), 0o700); err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "blobs", "ba", "78", name), []byte("abb"), 0o600); err != nil {
		log.Fatal(err)
	}
	found, err = check.All(ctx, shop)
	fmt.Println(found[0].What, err)
	// Output:
	// 0 <nil>
	// blob <nil>
}
