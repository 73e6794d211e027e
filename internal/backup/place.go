package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Place is where backups are kept: files by name, with slashes.
type Place interface {
	// Put keeps a file of so many bytes: whole or not at all.
	Put(ctx context.Context, name string, r io.Reader, size int64) error
	// Get opens a file; one that is not there is fs.ErrNotExist.
	Get(ctx context.Context, name string) (io.ReadCloser, error)
	// List returns the names of all files under a folder of the place.
	List(ctx context.Context, folder string) ([]string, error)
	Remove(ctx context.Context, name string) error
}

// At opens the place that a text names: s3://HOST/BUCKET/PREFIX, or the path of a folder.
func At(where string) (Place, error) {
	switch {
	case where == "":
		return nil, errors.New("no place is named: give a folder, or s3://HOST/BUCKET/PREFIX")
	case strings.HasPrefix(where, "s3://"), strings.HasPrefix(where, "s3+http://"):
		return openS3(where)
	case strings.Contains(where, "://"):
		return nil, fmt.Errorf("%q is no place for backups: give a folder, or s3://HOST/BUCKET/PREFIX", where)
	}
	return folder(where), nil
}

// folder is a place in the file system.
type folder string

func (f folder) path(name string) string { return filepath.Join(string(f), filepath.FromSlash(name)) }

// Put implements Place. The file gets its name when it is on the disk.
func (f folder) Put(_ context.Context, name string, r io.Reader, _ int64) error {
	to := f.path(name)
	if err := os.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return err
	}
	part, err := os.CreateTemp(filepath.Dir(to), ".part-*")
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	_, err = io.Copy(part, r)
	if err = errors.Join(err, part.Sync(), part.Close()); err != nil {
		return err
	}
	return os.Rename(part.Name(), to)
}

// Get implements Place.
func (f folder) Get(_ context.Context, name string) (io.ReadCloser, error) {
	return os.Open(f.path(name))
}

// List implements Place.
func (f folder) List(ctx context.Context, under string) ([]string, error) {
	var out []string
	err := filepath.WalkDir(f.path(under), func(p string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			return err
		case d.IsDir() || strings.HasPrefix(d.Name(), "."):
			return ctx.Err()
		}
		rel, err := filepath.Rel(string(f), p)
		out = append(out, filepath.ToSlash(rel))
		return err
	})
	return out, err
}

// Remove implements Place.
func (f folder) Remove(_ context.Context, name string) error {
	err := os.Remove(f.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// Names of files in a place.
const (
	snapshots = "snapshots"
	objects   = "objects"
)

func manifestName(snapshot string) string { return path.Join(snapshots, snapshot+".json") }

func objectName(sum, ending string) string { return path.Join(objects, sum[:2], sum+ending) }
