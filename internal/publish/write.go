package publish

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// written lists the files of a published folder, so that only those are ever removed.
const written = ".midcase-published.json"

// Outcome is what Write did.
type Outcome struct {
	Written int `json:"written"`
	Same    int `json:"same"`
	Removed int `json:"removed"`
}

// Write brings a folder up to the files of a site: what is the same stays untouched, what the site no longer has goes.
// Each file appears whole or not at all. It refuses a folder with files that it did not write. done is called after
// each file.
func Write(dir string, files []File, done func(i, of int)) (Outcome, error) {
	var out Outcome
	before, err := published(dir)
	if err != nil {
		return out, err
	}
	now := make([]string, len(files))
	for i, f := range files {
		now[i] = f.Path
	}
	// The list grows before the files do: after a pulled plug nothing stands there that it does not name.
	if err := keepList(dir, slices.Concat(before, now)); err != nil {
		return out, err
	}
	for i, f := range files {
		same, err := writeFile(dir, f)
		if err != nil {
			return out, fmt.Errorf("%s: %w", f.Path, err)
		}
		if same {
			out.Same++
		} else {
			out.Written++
		}
		done(i+1, len(files))
	}
	for _, old := range before {
		if slices.Contains(now, old) {
			continue
		}
		if err := os.Remove(filepath.Join(dir, filepath.FromSlash(old))); err == nil {
			out.Removed++
		} else if !errors.Is(err, fs.ErrNotExist) {
			return out, err
		}
	}
	return out, keepList(dir, now)
}

// published lists what was written before; it refuses a folder that is somebody else's.
func published(dir string) ([]string, error) {
	b, err := os.ReadFile(filepath.Join(dir, written))
	if errors.Is(err, fs.ErrNotExist) {
		entries, err := os.ReadDir(dir)
		if err == nil && len(entries) > 0 {
			return nil, fmt.Errorf("%s holds files that were not published from here. Give an empty folder or a new one", dir)
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var list []string
	if err := json.Unmarshal(b, &list); err != nil {
		return nil, fmt.Errorf("%s is damaged (%w). Give a new folder", filepath.Join(dir, written), err)
	}
	for _, p := range list {
		if !filepath.IsLocal(filepath.FromSlash(p)) {
			return nil, fmt.Errorf("%s names %q, which is outside the folder. Give a new folder", filepath.Join(dir, written), p)
		}
	}
	return list, nil
}

func keepList(dir string, list []string) error {
	list = slices.Clone(list)
	slices.Sort(list)
	b, err := json.MarshalIndent(slices.Compact(list), "", " ")
	if err != nil {
		return err
	}
	_, err = writeFile(dir, File{Path: written, Make: func() ([]byte, error) { return b, nil }})
	return err
}

func writeFile(dir string, f File) (same bool, err error) {
	to := filepath.Join(dir, filepath.FromSlash(f.Path))
	if f.Fixed {
		if info, err := os.Stat(to); err == nil && info.Size() > 0 {
			return true, nil
		}
	}
	b, err := f.Make()
	if err != nil {
		return false, err
	}
	if old, err := os.ReadFile(to); err == nil && bytes.Equal(old, b) {
		return true, nil
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return false, err
	}
	part, err := os.CreateTemp(filepath.Dir(to), "."+strings.TrimPrefix(filepath.Base(to), ".")+"-*")
	if err != nil {
		return false, err
	}
	defer os.Remove(part.Name())
	_, err = part.Write(b)
	if err = errors.Join(err, part.Chmod(0o644), part.Sync(), part.Close()); err != nil {
		return false, err
	}
	return false, os.Rename(part.Name(), to)
}
