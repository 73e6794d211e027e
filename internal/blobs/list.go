package blobs

import (
	"context"
	"fmt"
	"io/fs"
	"iter"
	"path"
)

// Entry is one blob of a listing.
type Entry struct {
	SHA  string // its name, the SHA-256 of its bytes in hex
	Size int64  // in bytes
}

// List walks all blobs by name. Files that are no blobs are passed over.
func (f *Folder) List(ctx context.Context) iter.Seq2[Entry, error] {
	return func(yield func(Entry, error) bool) {
		err := fs.WalkDir(f.root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
			if err == nil {
				err = ctx.Err()
			}
			if err != nil {
				return err
			}
			if d.IsDir() {
				if name == incoming {
					return fs.SkipDir
				}
				return nil
			}
			sha := path.Base(name)
			if !isName(sha) || place(sha) != name || !d.Type().IsRegular() {
				return nil
			}
			info, err := d.Info()
			if err != nil {
				return err
			}
			if !yield(Entry{sha, info.Size()}, nil) {
				return fs.SkipAll
			}
			return nil
		})
		if err != nil {
			yield(Entry{}, fmt.Errorf("list blobs: %w", err))
		}
	}
}
