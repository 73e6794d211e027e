package bookdir

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"

	"github.com/natefinch/atomic"

	"midcase/internal/shop"
)

// Dir is a book's folder. Its methods may be called from many goroutines at once. Several programs
// that write are kept apart by the store (shop.RevisionStore, EditBook).
type Dir struct {
	path string
	mu   sync.Mutex
}

// historyFolder holds, by file, its versions and one line of JSON on each.
const (
	historyFolder = "history"
	versionsFile  = "versions.jsonl"
)

// Open opens the folder, which need not be there yet.
func Open(path string) *Dir { return &Dir{path: path} }

var nameForm = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]{0,63}\.yaml$`)

func checkName(name string) error {
	if !nameForm.MatchString(name) {
		return fmt.Errorf("book file %q: want a name such as corvane.yaml: %w", name, shop.ErrNotFound)
	}
	return nil
}

// Files implements shop.BookStore.
func (d *Dir) Files(context.Context) (map[string][]byte, error) {
	names, err := d.names()
	if err != nil {
		return nil, err
	}
	out := map[string][]byte{}
	for _, name := range names {
		b, err := os.ReadFile(filepath.Join(d.path, name))
		if errors.Is(err, fs.ErrNotExist) { // taken away meanwhile
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("book: %w", err)
		}
		out[name] = b
	}
	return out, nil
}

// Sum names a text: the SHA-256 of its bytes in hex.
func Sum(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// Write implements shop.BookStore.
func (d *Dir) Write(_ context.Context, name, base string, text []byte, note shop.BookNote) (shop.BookVersion, error) {
	if err := checkName(name); err != nil {
		return shop.BookVersion{}, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	now, err := os.ReadFile(filepath.Join(d.path, name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		now = nil
	case err != nil:
		return shop.BookVersion{}, fmt.Errorf("book file %s: %w", name, err)
	}
	if is := sumOrNone(now); is != base {
		return shop.BookVersion{}, fmt.Errorf("book file %s: %w", name, shop.ErrConflict)
	}
	all, err := d.versions(name)
	if err != nil {
		return shop.BookVersion{}, err
	}
	// What stands was put there by hand, or was there before the first edit: keep it too.
	if now != nil && (len(all) == 0 || all[len(all)-1].Sum != base) {
		found := shop.BookNote{At: note.At, By: "found in the folder", Why: "as it stood before this edit"}
		if _, err := d.keep(name, len(all)+1, now, found); err != nil {
			return shop.BookVersion{}, err
		}
		all = append(all, shop.BookVersion{})
	}
	v, err := d.keep(name, len(all)+1, text, note)
	if err != nil {
		return shop.BookVersion{}, err
	}
	if err := atomic.WriteFile(filepath.Join(d.path, name), bytes.NewReader(text)); err != nil {
		return shop.BookVersion{}, fmt.Errorf("book file %s: %w", name, err)
	}
	return v, nil
}

func sumOrNone(text []byte) string {
	if text == nil {
		return ""
	}
	return Sum(text)
}

// keep writes a version and then the line that tells of it; a version without its line
// was never finished and is written over.
func (d *Dir) keep(name string, n int, text []byte, note shop.BookNote) (shop.BookVersion, error) {
	v := shop.BookVersion{N: n, Sum: Sum(text), BookNote: note}
	dir := filepath.Join(d.path, historyFolder, name)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return v, fmt.Errorf("history of %s: %w", name, err)
	}
	if err := atomic.WriteFile(d.versionPath(name, n), bytes.NewReader(text)); err != nil {
		return v, fmt.Errorf("history of %s: %w", name, err)
	}
	line, err := json.Marshal(v)
	if err != nil {
		return v, fmt.Errorf("history of %s: %w", name, err)
	}
	f, err := os.OpenFile(filepath.Join(dir, versionsFile), os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return v, fmt.Errorf("history of %s: %w", name, err)
	}
	if err = toWholeLines(f); err == nil {
		_, err = f.Write(append(line, '\n'))
	}
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return v, fmt.Errorf("history of %s: %w", name, err)
	}
	return v, nil
}

// toWholeLines goes to the end of the last whole line and cuts off what a writer that was killed, or a
// full disk, left after it.
func toWholeLines(f *os.File) error {
	b, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	end := int64(bytes.LastIndexByte(b, '\n') + 1)
	if end < int64(len(b)) {
		if err := f.Truncate(end); err != nil {
			return err
		}
	}
	_, err = f.Seek(end, io.SeekStart)
	return err
}

func (d *Dir) versionPath(name string, n int) string {
	return filepath.Join(d.path, historyFolder, name, fmt.Sprintf("%05d.yaml", n))
}

// Versions implements shop.BookStore.
func (d *Dir) Versions(_ context.Context, name string) ([]shop.BookVersion, error) {
	if err := checkName(name); err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.versions(name)
}

func (d *Dir) versions(name string) ([]shop.BookVersion, error) {
	b, err := os.ReadFile(filepath.Join(d.path, historyFolder, name, versionsFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("history of %s: %w", name, err)
	}
	b = b[:bytes.LastIndexByte(b, '\n')+1] // a line without its end was never acknowledged
	if len(b) == 0 {
		return nil, nil
	}
	var out []shop.BookVersion
	for i, line := range strings.Split(strings.TrimRight(string(b), "\n"), "\n") {
		var v shop.BookVersion
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			return nil, fmt.Errorf("history of %s: line %d: found %q; want one version: %w", name, i+1, line, err)
		}
		out = append(out, v)
	}
	return out, nil
}

// Version implements shop.BookStore.
func (d *Dir) Version(ctx context.Context, name string, n int) ([]byte, shop.BookVersion, error) {
	all, err := d.Versions(ctx, name)
	if err != nil {
		return nil, shop.BookVersion{}, err
	}
	for _, v := range all {
		if v.N != n {
			continue
		}
		text, err := os.ReadFile(d.versionPath(name, n))
		if err != nil {
			return nil, v, fmt.Errorf("version %d of %s: %w", n, name, err)
		}
		if Sum(text) != v.Sum {
			return nil, v, fmt.Errorf("version %d of %s: the kept text is not what was kept on %s", n, name,
				v.At.Format(time.DateOnly))
		}
		return text, v, nil
	}
	return nil, shop.BookVersion{}, fmt.Errorf("version %d of %s: %w", n, name, shop.ErrNotFound)
}
