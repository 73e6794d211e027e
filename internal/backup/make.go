package backup

import (
	"bytes"
	"compress/gzip"
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
	"slices"
	"strings"
	"time"

	"filippo.io/age"

	"midcase/internal/blobs"
	"midcase/internal/store"
)

// Source is an open shop that is backed up.
type Source struct {
	Store *store.Store
	Blobs *blobs.Folder
	Dir   string // the shop's folder
	Book  string // in it, the folder of the book
	Keys  []string
	// Database and BlobFolder are the names under which both are restored.
	Database, BlobFolder string
}

// Options of a backup.
type Options struct {
	Recipient string // of age; empty: not encrypted
	WithKeys  bool   // the shop's keys, too; only where a recipient is given
	KeepAll   bool   // remove no old snapshot
	Now       time.Time
	Program   string
}

// Made is what a backup comes to.
type Made struct {
	Snapshot  string   `json:"snapshot"`
	Head      string   `json:"head"` // of the log, SIZE:ROOT
	Files     int      `json:"files"`
	NewFiles  int      `json:"new_files"` // that the place had not yet
	Bytes     int64    `json:"bytes"`
	NewBytes  int64    `json:"new_bytes"`
	Removed   int      `json:"removed"` // old snapshots
	Encrypted bool     `json:"encrypted"`
	Damaged   []string `json:"damaged"` // files that were damaged before, and are left out
}

// making is a backup under way.
type making struct {
	Source
	Options
	to    Place
	age   age.Recipient // nil: not encrypted
	tag   string        // ending of encrypted objects; tells recipients apart
	temp  string
	there map[string]bool // objects that the place has
	m     Manifest
	made  Made
}

// Make backs a shop up while it is in use.
func Make(ctx context.Context, s Source, to Place, opt Options) (Made, error) {
	made, err := makeBackup(ctx, s, to, opt)
	if err != nil {
		return Made{}, fmt.Errorf("back up: %w", err)
	}
	return made, nil
}

func makeBackup(ctx context.Context, s Source, to Place, opt Options) (Made, error) {
	b := &making{Source: s, Options: opt, to: to, there: map[string]bool{}}
	if err := b.recipient(); err != nil {
		return Made{}, err
	}
	var err error
	if b.temp, err = os.MkdirTemp("", "midcase-backup-*"); err != nil {
		return Made{}, err
	}
	defer os.RemoveAll(b.temp)
	known, err := to.List(ctx, objects)
	if err != nil {
		return Made{}, err
	}
	for _, name := range known {
		b.there[name] = true
	}
	taken, err := Snapshots(ctx, to)
	if err != nil {
		return Made{}, err
	}
	at := opt.Now.UTC()
	for slices.Contains(taken, at.Format(snapshotForm)) {
		at = at.Add(time.Millisecond) // the form's last digit
	}
	b.m = Manifest{Format: format, Snapshot: at.Format(snapshotForm), At: opt.Now.UTC(), Program: opt.Program}
	for _, step := range []func(context.Context) error{b.database, b.pictures, b.texts, b.finish} {
		if err := step(ctx); err != nil {
			return Made{}, err
		}
	}
	if !opt.KeepAll {
		if b.made.Removed, err = rotate(ctx, to, opt.Now); err != nil {
			return Made{}, err
		}
	}
	return b.made, nil
}

func (b *making) recipient() error {
	if b.Recipient == "" {
		if b.WithKeys {
			return errors.New("keys are copied only encrypted: a key beside what it opens protects nothing; " +
				"give a recipient, too")
		}
		return nil
	}
	r, err := age.ParseX25519Recipient(b.Recipient)
	if err != nil {
		return fmt.Errorf("%q is no recipient of age: give one such as age1…, as age-keygen prints it", b.Recipient)
	}
	sum := sha256.Sum256([]byte(r.String()))
	b.age, b.tag, b.made.Encrypted = r, "."+hex.EncodeToString(sum[:4])+".age", true
	return nil
}

// database copies the database, and reads heads and counts of the copy.
func (b *making) database(ctx context.Context) error {
	path := filepath.Join(b.temp, "copy.db")
	if err := b.Store.Backup(ctx, path); err != nil {
		return err
	}
	c, err := store.OpenCopy(ctx, path)
	if err != nil {
		return err
	}
	b.m.LogSize, b.m.LogRoot, err = c.Head(ctx)
	if err == nil {
		b.m.Counts, err = store.Counts(ctx, c)
	}
	if err = errors.Join(err, c.Close()); err != nil {
		return err
	}
	b.made.Head = fmt.Sprintf("%d:%s", b.m.LogSize, b.m.LogRoot)
	return b.file(ctx, path, b.Database)
}

// pictures copies the blobs that the place has not yet. All that the copy of the database names are there,
// since they were put there before.
func (b *making) pictures(ctx context.Context) error {
	for e, err := range b.Blobs.List(ctx) {
		if err != nil {
			return err
		}
		f := File{Path: b.BlobFolder + "/" + blobs.Place(e.SHA), SHA256: e.SHA, Size: e.Size,
			Object: objectName(e.SHA, b.tag)}
		if b.there[f.Object] {
			b.add(f)
			continue
		}
		r, err := b.Blobs.Open(ctx, e.SHA)
		if errors.Is(err, blobs.ErrDamaged) {
			b.m.Damaged = append(b.m.Damaged, f.Path)
			continue
		}
		if err != nil {
			return err
		}
		if err = errors.Join(b.send(ctx, f, r, false), r.Close()); err != nil {
			return err
		}
	}
	return nil
}

// texts copies the book with its history, and the keys where they are asked for.
func (b *making) texts(ctx context.Context) error {
	err := filepath.WalkDir(b.Book, func(p string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || !d.Type().IsRegular() || strings.HasPrefix(d.Name(), ".") {
			return err
		}
		rel, err := filepath.Rel(b.Dir, p)
		if err != nil {
			return err
		}
		return b.file(ctx, p, filepath.ToSlash(rel))
	})
	if err != nil || !b.WithKeys {
		return err
	}
	for _, name := range b.Keys {
		if err := b.file(ctx, filepath.Join(b.Dir, name), name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// file copies one file, which may change while it is read: what is sent is what was read first.
func (b *making) file(ctx context.Context, from, as string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	sum := sha256.New()
	size, err := io.Copy(sum, in)
	if err != nil {
		return err
	}
	if _, err := in.Seek(0, io.SeekStart); err != nil {
		return err
	}
	hash := hex.EncodeToString(sum.Sum(nil))
	f := File{Path: as, SHA256: hash, Size: size, Object: objectName(hash, ".gz"+b.tag)}
	if b.there[f.Object] {
		b.add(f)
		return nil
	}
	return b.send(ctx, f, io.LimitReader(in, size), true)
}

func (b *making) add(f File) {
	b.m.Files = append(b.m.Files, f)
	b.made.Files++
	b.made.Bytes += f.Size
}

// send packs a file and puts it into the place.
func (b *making) send(ctx context.Context, f File, r io.Reader, pack bool) error {
	packed, err := os.CreateTemp(b.temp, "object-*")
	if err != nil {
		return err
	}
	defer os.Remove(packed.Name())
	defer packed.Close()
	sum := sha256.New()
	if err := b.pack(packed, io.TeeReader(r, sum), pack); err != nil {
		return err
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != f.SHA256 {
		return fmt.Errorf("%s changed while it was read; make the backup again", f.Path)
	}
	size, err := packed.Seek(0, io.SeekEnd)
	if err == nil {
		_, err = packed.Seek(0, io.SeekStart)
	}
	if err != nil {
		return err
	}
	if err := b.to.Put(ctx, f.Object, packed, size); err != nil {
		return fmt.Errorf("%s: %w", f.Path, err)
	}
	b.there[f.Object] = true
	b.add(f)
	b.made.NewFiles++
	b.made.NewBytes += size
	return nil
}

// pack compresses texts and the database (pictures are compressed), then encrypts.
func (b *making) pack(w io.Writer, r io.Reader, compress bool) error {
	var closers []io.Closer
	if b.age != nil {
		sealed, err := age.Encrypt(w, b.age)
		if err != nil {
			return err
		}
		w, closers = sealed, append(closers, sealed)
	}
	if compress {
		z := gzip.NewWriter(w)
		w, closers = z, append(closers, z)
	}
	_, err := io.Copy(w, r)
	for _, c := range slices.Backward(closers) {
		err = errors.Join(err, c.Close())
	}
	return err
}

// finish writes the manifest, which makes the snapshot, and holds that all its objects are still there: another
// backup may have removed old ones meanwhile.
func (b *making) finish(ctx context.Context) error {
	text, err := json.MarshalIndent(b.m, "", "\t")
	if err != nil {
		return err
	}
	name := manifestName(b.m.Snapshot)
	if err := b.to.Put(ctx, name, bytes.NewReader(text), int64(len(text))); err != nil {
		return err
	}
	names, err := b.to.List(ctx, objects)
	if err != nil {
		return err
	}
	there := map[string]bool{}
	for _, n := range names {
		there[n] = true
	}
	for _, f := range b.m.Files {
		if !there[f.Object] {
			err := b.to.Remove(ctx, name)
			return errors.Join(fmt.Errorf("%s was removed meanwhile, by another backup to this place; make it again",
				f.Path), err)
		}
	}
	b.made.Snapshot, b.made.Damaged = b.m.Snapshot, append([]string{}, b.m.Damaged...)
	return nil
}
