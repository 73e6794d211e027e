package demo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// WritePlain writes the world as files that need no shop, into DIR/plain: the book,
// the sales, the tables of rates and metal prices, the watch files, the truth, the
// pictures and the sounds. progress, if not nil, is told how many of the files are
// done. Each file is written whole or not at all.
func (w *World) WritePlain(dir string, progress func(done, total int)) error {
	jobs, err := w.plainFiles(filepath.Join(dir, "plain"))
	if err != nil {
		return err
	}
	return runAll(jobs, progress)
}

// file is one file to make.
type file struct {
	path string
	make func() ([]byte, error)
}

func (w *World) plainFiles(dir string) ([]file, error) {
	var jobs []file
	names, err := fs.Glob(w.Book, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("list the reference book: %w", err)
	}
	for _, n := range names {
		jobs = append(jobs, file{filepath.Join(dir, "book", n), func() ([]byte, error) {
			return fs.ReadFile(w.Book, n)
		}})
	}
	jobs = append(jobs,
		file{filepath.Join(dir, "sales.csv"), written(w.WriteSales)},
		file{filepath.Join(dir, "rates.csv"), written(w.WriteRates)},
		file{filepath.Join(dir, "metals.csv"), written(w.WriteMetals)},
		file{filepath.Join(dir, "truth.json"), func() ([]byte, error) { return indented(w.Truth) }})
	for _, x := range w.Watches {
		jobs = append(jobs, file{filepath.Join(dir, "watches", x.File), func() ([]byte, error) { return x.JSON() }})
	}
	for _, x := range w.Watches {
		for _, p := range x.Photos {
			jobs = append(jobs, onceFile(filepath.Join(dir, "pictures", p.File), p.Draw))
		}
		for _, p := range x.Sounds {
			jobs = append(jobs, onceFile(filepath.Join(dir, "sounds", p.File), p.Make))
		}
	}
	return jobs, nil
}

// onceFile is a file that is not made again where it is there: pictures and sounds
// take time, and the same seed gives the same bytes.
func onceFile(path string, make func() ([]byte, error)) file { return file{path, once(path, make)} }

// JSON is the plain watch file.
func (w Watch) JSON() ([]byte, error) { return indented(w.Evidence) }

func written(to func(io.Writer) error) func() ([]byte, error) {
	return func() ([]byte, error) {
		var b bytes.Buffer
		err := to(&b)
		return b.Bytes(), err
	}
}

func indented(v any) ([]byte, error) {
	b, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(b, '\n'), nil
}

// write puts the bytes beside the path and then in place.
func write(path string, b []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	tmp := path + ".part"
	if err := os.WriteFile(tmp, b, 0o644); err != nil {
		return err
	}
	return os.Rename(tmp, path)
}
