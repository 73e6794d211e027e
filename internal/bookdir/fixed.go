package bookdir

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"midcase/internal/shop"
)

// FixedBook is a book that cannot be edited, such as one inside a program.
type FixedBook struct{ files fs.FS }

var errFixed = errors.New("this reference book is not kept in files that can be edited")

// Fixed is the book of a file system's *.yaml files; of nil it is empty.
func Fixed(files fs.FS) FixedBook { return FixedBook{files} }

// Mark implements shop.BookStore: it is always the same.
func (f FixedBook) Mark(context.Context) (string, error) { return "fixed", nil }

// Files implements shop.BookStore.
func (f FixedBook) Files(context.Context) (map[string][]byte, error) {
	out := map[string][]byte{}
	if f.files == nil {
		return out, nil
	}
	names, err := fs.Glob(f.files, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("book: %w", err)
	}
	for _, name := range names {
		if out[name], err = fs.ReadFile(f.files, name); err != nil {
			return nil, fmt.Errorf("book: %w", err)
		}
	}
	return out, nil
}

// Write implements shop.BookStore; it refuses.
func (f FixedBook) Write(context.Context, string, string, []byte, shop.BookNote) (shop.BookVersion, error) {
	return shop.BookVersion{}, errFixed
}

// Versions implements shop.BookStore; there are none.
func (f FixedBook) Versions(context.Context, string) ([]shop.BookVersion, error) { return nil, nil }

// Version implements shop.BookStore; there is none.
func (f FixedBook) Version(_ context.Context, name string, n int) ([]byte, shop.BookVersion, error) {
	return nil, shop.BookVersion{}, fmt.Errorf("version %d of %s: %w", n, name, shop.ErrNotFound)
}
