package blobs

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math"
	"os"
	"path"
	"runtime"
	"time"

	"midcase/internal/shop"
)

// ErrTooLarge is wrapped by Put where there are more bytes than the limit allows. It
// is shop.ErrTooLarge.
var ErrTooLarge = shop.ErrTooLarge

// ErrDamaged is wrapped by Open and Verify where a file's bytes are not those of its name.
// It is shop.ErrDamaged.
var ErrDamaged = shop.ErrDamaged

const (
	incoming = "incoming"
	// abandoned is how long nobody must have written to a temporary file before it is
	// taken for interrupted: another process may be at work in the same folder.
	abandoned = time.Hour
)

// Folder is a blob store in a folder of the file system. Its methods may be called
// from many goroutines, and several processes may share the folder.
type Folder struct {
	root *os.Root // nothing outside it can be reached, not even by a symbolic link
	path string
}

var _ shop.BlobStore = (*Folder)(nil)

// Dir opens the folder, makes it where it is missing, and sweeps temporary files that
// an interruption left behind.
func Dir(path string) (*Folder, error) {
	if err := os.MkdirAll(path, 0o700); err != nil {
		return nil, fmt.Errorf("open blobs: %w", err)
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("open blobs: %w", err)
	}
	f := &Folder{root: root, path: path}
	if err := f.sweep(); err != nil {
		root.Close()
		return nil, fmt.Errorf("open blobs %s: %w", path, err)
	}
	return f, nil
}

// Existing opens a folder that is there, to read it: it makes nothing and sweeps nothing, so that a copy on
// a medium that cannot be written can be read.
func Existing(path string) (*Folder, error) {
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("open blobs: %w", err)
	}
	return &Folder{root: root, path: path}, nil
}

// Close gives the folder up. Files that are open stay readable.
func (f *Folder) Close() error { return f.root.Close() }

func (f *Folder) sweep() error {
	if err := f.root.MkdirAll(incoming, 0o700); err != nil {
		return err
	}
	entries, err := fs.ReadDir(f.root.FS(), incoming)
	if err != nil {
		return err
	}
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() || time.Since(info.ModTime()) < abandoned {
			continue // gone meanwhile, not ours, or at work
		}
		if err := f.root.Remove(path.Join(incoming, e.Name())); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// Put implements shop.BlobStore. A kept file that proves damaged is replaced by the
// good bytes.
func (f *Folder) Put(ctx context.Context, r io.Reader, limit int64) (sha string, size int64, err error) {
	if limit < 0 {
		return "", 0, fmt.Errorf("put blob: limit %d bytes; want 0 or more", limit)
	}
	temp := path.Join(incoming, rand.Text())
	sum, size, err := f.write(ctx, temp, r, limit)
	if err != nil {
		f.root.Remove(temp) // best effort: the next sweep takes what stays
		return "", 0, fmt.Errorf("put blob: %w", err)
	}
	sha = hex.EncodeToString(sum.Sum(nil))
	if err := f.settle(ctx, temp, sha); err != nil {
		f.root.Remove(temp)
		return "", 0, fmt.Errorf("put blob %s: %w", sha, err)
	}
	return sha, size, nil
}

// write puts the bytes into the temporary file and onto the disk.
func (f *Folder) write(ctx context.Context, temp string, r io.Reader, limit int64) (hash.Hash, int64, error) {
	file, err := f.root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return nil, 0, err
	}
	sum := sha256.New()
	most := limit
	if most < math.MaxInt64 {
		most++ // one more byte tells a full one from one too many
	}
	size, err := io.Copy(io.MultiWriter(file, sum), io.LimitReader(contextReader{ctx, r}, most))
	if err == nil && size > limit {
		err = fmt.Errorf("%w: more than %d bytes", ErrTooLarge, limit)
	}
	if err == nil {
		err = file.Sync()
	}
	if err = errors.Join(err, file.Close()); err != nil {
		return nil, 0, err
	}
	return sum, size, nil
}

// settle moves the temporary file to its name and puts the name onto the disk.
func (f *Folder) settle(ctx context.Context, temp, sha string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	name := place(sha)
	if f.verify(ctx, sha) == nil {
		if err := f.root.Remove(temp); err != nil {
			return err
		}
		// The file may be another writer's that has not synced its name yet.
		return f.syncFolders(name)
	}
	if err := f.root.MkdirAll(path.Dir(name), 0o700); err != nil {
		return err
	}
	if err := f.root.Rename(temp, name); err != nil {
		return err
	}
	return f.syncFolders(name)
}

// syncFolders syncs the folder that holds the name and those above, which may be new.
func (f *Folder) syncFolders(name string) error {
	if runtime.GOOS == "windows" { // cannot sync a folder, and need not
		return nil
	}
	for dir := path.Dir(name); ; dir = path.Dir(dir) {
		d, err := f.root.Open(dir)
		if err != nil {
			return err
		}
		if err := errors.Join(d.Sync(), d.Close()); err != nil {
			return err
		}
		if dir == "." {
			return nil
		}
	}
}

// Open implements shop.BlobStore. It reads the file once to compare its bytes with its name,
// so that nothing damaged is shown, printed or sent.
func (f *Folder) Open(ctx context.Context, sha string) (io.ReadSeekCloser, error) {
	file, err := f.open(ctx, sha)
	if err != nil {
		return nil, fmt.Errorf("blob %q: %w", sha, err)
	}
	err = compare(ctx, file, sha)
	if err == nil {
		_, err = file.Seek(0, io.SeekStart)
	}
	if err != nil {
		file.Close()
		return nil, fmt.Errorf("blob %q: %w", sha, err)
	}
	return file, nil
}

func (f *Folder) open(ctx context.Context, sha string) (*os.File, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if !isName(sha) {
		return nil, fmt.Errorf("not a name of 64 lower-case hexadecimal digits: %w", shop.ErrNotFound)
	}
	file, err := f.root.Open(place(sha))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, shop.ErrNotFound
	}
	return file, err
}

// Verify reads the blob and compares its bytes with its name. An error wraps
// shop.ErrNotFound or ErrDamaged.
func (f *Folder) Verify(ctx context.Context, sha string) error {
	if err := f.verify(ctx, sha); err != nil {
		return fmt.Errorf("blob %q: %w", sha, err)
	}
	return nil
}

func (f *Folder) verify(ctx context.Context, sha string) error {
	file, err := f.open(ctx, sha)
	if err != nil {
		return err
	}
	defer file.Close()
	return compare(ctx, file, sha)
}

// compare reads all bytes and compares them with the name.
func compare(ctx context.Context, r io.Reader, sha string) error {
	sum := sha256.New()
	if _, err := io.Copy(sum, contextReader{ctx, r}); err != nil {
		return err
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != sha {
		return fmt.Errorf("%w: its bytes have the SHA-256 %s", ErrDamaged, got)
	}
	return nil
}

// contextReader stops reading when the context ends.
type contextReader struct {
	ctx context.Context
	r   io.Reader
}

func (c contextReader) Read(b []byte) (int, error) {
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	return c.r.Read(b)
}

// place is where in the folder the blob lies.
func place(sha string) string { return path.Join(sha[:2], sha[2:4], sha) }

// isName reports whether s is a SHA-256 in lower-case hexadecimal digits.
func isName(s string) bool {
	if len(s) != 2*sha256.Size {
		return false
	}
	for _, c := range []byte(s) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

// Place is where in a folder of blobs the blob of this name lies, with slashes.
func Place(sha string) string { return place(sha) }
