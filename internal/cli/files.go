package cli

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// writeWhole writes a file under another name and renames it, so that the name never
// shows half a file.
func writeWhole(path string, b []byte) error {
	return writeStream(path, func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	})
}

// writeStream writes a file as it comes, first under another name beside it, so that
// an interrupted run leaves the old file as it was and a large one is never held in
// memory as a whole.
func writeStream(path string, write func(io.Writer) error) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".midcase-*")
	if err != nil {
		return unwritable(path, err)
	}
	var fault *fs.PathError
	if err = write(tmp); err != nil && !errors.As(err, &fault) {
		tmp.Close()
		os.Remove(tmp.Name())
		return err // not the file's doing
	}
	if cerr := tmp.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return unwritable(path, err)
	}
	return nil
}
