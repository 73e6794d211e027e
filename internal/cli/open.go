package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/oklog/ulid/v2"

	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/refbook"
)

// Environment that chooses other places than the shop's folder.
const (
	storeURLVariable = "MIDCASE_STORE" // such as postgres://…; default the folder's SQLite file
	storeFile        = "midcase.db"
	blobFolder       = "blobs"
	bookFolder       = "book"
)

// opened is a shop with what must be closed after use.
type opened struct {
	*rooms.Shop
	store *store.Store
	blobs *blobs.Folder
	book  *bookdir.Dir
	dir   string
}

func (o *opened) close() {
	o.store.Close()
	o.blobs.Close()
}

// shopFolder is the folder asked for, or the user's default.
func (a *app) shopFolder() (string, error) {
	if a.shop != "" {
		return a.shop, nil
	}
	base := os.Getenv("XDG_DATA_HOME")
	if base == "" {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", wrong("which shop? give --shop DIR or set MIDCASE_SHOP")
		}
		base = filepath.Join(home, ".local", "share")
	}
	return filepath.Join(base, "midcase"), nil
}

// open opens the shop that was asked for. With create, a folder that is missing is
// made; otherwise it is an error that says how to make one.
func (a *app) open(create bool) (*opened, error) {
	dir, err := a.shopFolder()
	if err != nil {
		return nil, err
	}
	return a.openAt(dir, create)
}

func (a *app) openAt(dir string, create bool) (*opened, error) {
	a.ctx = shop.Pin(shop.As(a.ctx, user(""))) // who looks at client data
	url := os.Getenv(storeURLVariable)
	if url == "" {
		url = "sqlite:" + filepath.Join(dir, storeFile)
		if err := databaseThere(dir, create); err != nil {
			return nil, err
		}
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("shop folder: %w", err)
	}
	st, err := store.Open(a.ctx, url, store.WithClock(a.now))
	if err != nil {
		return nil, err
	}
	bl, err := blobs.Dir(filepath.Join(dir, blobFolder))
	if err != nil {
		st.Close()
		return nil, err
	}
	if err := useClientKey(a.ctx, st, dir, a.err); err != nil {
		st.Close()
		bl.Close()
		return nil, err
	}
	book := bookdir.Open(filepath.Join(dir, bookFolder))
	s, err := rooms.Open(a.ctx, shop.On(st, bl, book),
		shop.Options{Now: a.now, NewID: newID})
	if err != nil {
		st.Close()
		bl.Close()
		return nil, err
	}
	o := &opened{s, st, bl, book, dir}
	if err := s.BookProblem(a.ctx); err != nil {
		fmt.Fprintf(a.err, "The reference book as it was kept last is used: %v\n", err)
	}
	s.Proves = st.Prove
	if s.Signs, err = useLogKey(dir); err == nil {
		a.ctx, err = inRole(a.ctx, s, a.command)
	}
	if err != nil {
		o.close()
		return nil, err
	}
	return o, nil
}

// databaseThere refuses a folder without its database, unless create is set and nothing of an
// older shop is left there: a new, empty shop would hide that the records are lost.
func databaseThere(dir string, create bool) error {
	path := filepath.Join(dir, storeFile)
	info, err := os.Stat(path)
	if err == nil {
		if info.Size() == 0 && !exists(path+"-wal") && !exists(path+"-journal") {
			return fmt.Errorf("%s is empty, so its records are lost: restore a backup", path)
		}
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, name := range []string{clientKeyFile, storeFile + "-wal", blobFolder} {
		if left := filepath.Join(dir, name); exists(left) && !emptyFolder(left) {
			return fmt.Errorf("%s is missing although %s is there: put the file back or restore a backup; "+
				"for a new shop give another folder", path, left)
		}
	}
	if !create {
		return fmt.Errorf("no shop in %s: make one with 'midcase serve --shop %s', or try 'midcase demo'", dir, dir)
	}
	return nil
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// emptyFolder reports whether a path is a folder that holds no file, at any depth.
func emptyFolder(path string) bool {
	empty := true
	err := filepath.WalkDir(path, func(_ string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			return nil
		}
		empty = false
		return fs.SkipAll
	})
	return err == nil && empty
}

// loadBook loads the shop's book; a shop without one has an empty book.
func loadBook(dir string) (*refbook.Book, error) {
	if _, err := os.Stat(dir); errors.Is(err, fs.ErrNotExist) {
		return refbook.New()
	}
	return refbook.LoadDir(dir)
}

// newID makes ids that sort by time, such as ev_01J9Z….
func newID(prefix string) string { return prefix + "_" + strings.ToLower(ulid.Make().String()) }

// user is who records evidence from the command line.
func user(given string) string {
	for _, name := range []string{given, os.Getenv("MIDCASE_USER"), os.Getenv("USER"), os.Getenv("LOGNAME")} {
		if name != "" {
			return name
		}
	}
	return "command line"
}
