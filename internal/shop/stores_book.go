package shop

import (
	"context"
	"time"
)

// BookStore keeps the files of the reference book with all that stood in them before.
type BookStore interface {
	// Mark changes whenever a file does, by whomever: it is asked at each request.
	Mark(ctx context.Context) (string, error)
	// Files returns the texts of the files by name, such as corvane.yaml.
	Files(ctx context.Context) (map[string][]byte, error)
	// Write replaces a file in one step and keeps the text as its next version. base is
	// the SHA-256, in hex, of the text that it takes the place of, empty for a new file;
	// where another text stands there it is ErrConflict and nothing is written.
	Write(ctx context.Context, name, base string, text []byte, note BookNote) (BookVersion, error)
	// Versions returns what was kept of a file, the oldest first.
	Versions(ctx context.Context, name string) ([]BookVersion, error)
	// Version returns the text of a kept version, or ErrNotFound.
	Version(ctx context.Context, name string, n int) ([]byte, BookVersion, error)
}

// BookNote says who wrote a version of a file, when and why.
type BookNote struct {
	At  time.Time `json:"at"`
	By  string    `json:"by"`
	Why string    `json:"why"`
}

// BookVersion is one version of a file of the book.
type BookVersion struct {
	N   int    `json:"n"` // counted from 1
	Sum string `json:"sha256"`
	BookNote
}
