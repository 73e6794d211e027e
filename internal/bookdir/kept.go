package bookdir

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"midcase/internal/shop"
)

// Keep keeps every file that has no version yet as its first one, so that a later check can tell whether it is still
// what it was. With changed set it keeps also those that were changed outside the program since their last version.
// It returns the names of those kept.
func (d *Dir) Keep(_ context.Context, note shop.BookNote, changed bool) ([]string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	names, err := d.names()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, name := range names {
		if checkName(name) != nil {
			continue // reading the book says so
		}
		all, err := d.versions(name)
		if err != nil {
			return out, err
		}
		if len(all) > 0 && !changed {
			continue
		}
		text, err := os.ReadFile(filepath.Join(d.path, name))
		if err != nil {
			return out, fmt.Errorf("book file %s: %w", name, err)
		}
		if len(all) > 0 && all[len(all)-1].Sum == Sum(text) {
			continue
		}
		if _, err := d.keep(name, len(all)+1, text, note); err != nil {
			return out, err
		}
		out = append(out, name)
	}
	return out, nil
}

// checkStanding compares the files as they stand with the last version of each. One that was never kept has nothing
// to be compared with.
func (d *Dir) checkStanding(ctx context.Context, name string, last shop.BookVersion) []Fault {
	day := last.At.Format("2006-01-02")
	text, err := os.ReadFile(filepath.Join(d.path, name))
	if errors.Is(err, os.ErrNotExist) {
		return []Fault{{name, fmt.Sprintf("%s is missing: put it back from its last version of %s, in %s, or move that "+
			"folder away too", name, day, filepath.Join(historyFolder, name))}}
	}
	if err != nil {
		return []Fault{{name, err.Error()}}
	}
	if Sum(text) == last.Sum {
		return nil
	}
	where := ""
	if was, _, err := d.Version(ctx, name, last.N); err == nil {
		where = fmt.Sprintf(", from line %d on", firstDifference(was, text))
	}
	return []Fault{{name, fmt.Sprintf("%s was changed outside the program since %s%s: keep it by 'midcase book keep' if "+
		"the change is yours, else put the last version back", name, day, where)}}
}

// firstDifference is the first line, from 1, in which two texts differ.
func firstDifference(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return 1 + bytes.Count(a[:n], []byte{'\n'})
}
