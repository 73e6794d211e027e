package bookdir

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// settled is how long after it was written a file's time of change is taken for its name: clocks of
// file systems are coarse, so that two edits within a moment may bear the same time.
const settled = 2 * time.Second

// Mark implements shop.BookStore: names, sizes and times of change of the files, and the sums of
// those that were written a moment ago.
func (d *Dir) Mark(context.Context) (string, error) {
	names, err := d.names()
	if err != nil {
		return "", err
	}
	var b strings.Builder
	now := time.Now()
	for _, name := range names {
		path := filepath.Join(d.path, name)
		info, err := os.Stat(path)
		if errors.Is(err, fs.ErrNotExist) { // taken away meanwhile
			continue
		}
		if err != nil {
			return "", fmt.Errorf("book: %w", err)
		}
		fmt.Fprintf(&b, "%s %d %d", name, info.Size(), info.ModTime().UnixNano())
		if now.Sub(info.ModTime()).Abs() < settled {
			text, err := os.ReadFile(path)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return "", fmt.Errorf("book: %w", err)
			}
			b.WriteString(" " + Sum(text))
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}

// names are the files of the book, in the order of their names. One that ends in .yml is among them,
// so that reading the book can say that it is not read.
func (d *Dir) names() ([]string, error) {
	entries, err := os.ReadDir(d.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("book: %w", err)
	}
	var out []string
	for _, e := range entries {
		if ext := filepath.Ext(e.Name()); !e.IsDir() && (ext == ".yaml" || ext == ".yml") {
			out = append(out, e.Name())
		}
	}
	return out, nil
}
