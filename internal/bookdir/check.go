package bookdir

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Fault is something wrong in the history of a file.
type Fault struct {
	File string
	Says string
}

// Check reads every kept version of every file and compares it with the sum that was noted when it was
// kept, and each file as it stands with its last version: whoever edits one by hand says so by Keep.
func (d *Dir) Check(ctx context.Context) ([]Fault, error) {
	entries, err := os.ReadDir(filepath.Join(d.path, historyFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("check the book: %w", err)
	}
	var out []Fault
	for _, e := range entries {
		name := e.Name()
		if !e.IsDir() || checkName(name) != nil {
			continue
		}
		all, err := d.Versions(ctx, name)
		if err != nil {
			out = append(out, Fault{name, err.Error()})
			continue
		}
		for i, v := range all {
			if v.N != i+1 {
				out = append(out, Fault{name, fmt.Sprintf("history of %s: line %d is version %d", name, i+1, v.N)})
			}
			if _, _, err := d.Version(ctx, name, v.N); err != nil {
				out = append(out, Fault{name, err.Error()})
			}
		}
		if len(all) > 0 {
			out = append(out, d.checkStanding(ctx, name, all[len(all)-1])...)
		}
	}
	return out, nil
}
