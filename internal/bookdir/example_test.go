package bookdir_test

import (
	"context"
	"fmt"
	"os"
	"time"

	"midcase/internal/bookdir"
	"midcase/internal/shop"
)

func Example() {
	dir, err := os.MkdirTemp("", "book")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	ctx, book := context.Background(), bookdir.Open(dir)
	day := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	first := []byte("schema: 1\n")
	if _, err := book.Write(ctx, "corvane.yaml", "", first, shop.BookNote{At: day, By: "Ines",
		Why: "a new maker"}); err != nil {
		panic(err)
	}
	if _, err := book.Write(ctx, "corvane.yaml", bookdir.Sum(first), []byte("schema: 1\nid: corvane\n"),
		shop.BookNote{At: day, By: "Ines", Why: "its id"}); err != nil {
		panic(err)
	}
	versions, err := book.Versions(ctx, "corvane.yaml")
	if err != nil {
		panic(err)
	}
	for _, v := range versions {
		fmt.Println(v.N, v.By, v.Why)
	}
	// Output:
	// 1 Ines a new maker
	// 2 Ines its id
}
