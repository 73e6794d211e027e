package backup

import (
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"filippo.io/age"

	"midcase/internal/blobs"
	"midcase/internal/check"
	"midcase/internal/store"
)

// Restoring is what Restore needs to know.
type Restoring struct {
	Snapshot   string         // empty: the newest
	Into       string         // a folder that is not there, or empty
	Identities []age.Identity // for an encrypted backup

	Database, BlobFolder, Book string
	// Server is the URL of another, empty database that the records go into, such as postgres://…; empty: they stay in
	// the file Database of the folder.
	Server string
	// ClientKey reads the key of the client data out of the restored folder, nil where it is not in it.
	ClientKey func(dir string) ([]byte, error)
}

// Restored is what a restoring came to.
type Restored struct {
	Snapshot string          `json:"snapshot"`
	Head     string          `json:"head"` // of the log, SIZE:ROOT
	Files    int             `json:"files"`
	Bytes    int64           `json:"bytes"`
	Missing  []string        `json:"missing"` // damaged before the backup was made, so not in it
	Findings []store.Finding `json:"findings"`
}

// Restore makes the shop of a snapshot again in a new folder. Everything is written beside that folder, held
// against the manifest, checked, and only then given its name. Where something is wrong nothing is left, unless
// the backup itself says that it was damaged before.
func Restore(ctx context.Context, from Place, r Restoring) (Restored, error) {
	out, err := restore(ctx, from, r)
	if err != nil {
		return out, fmt.Errorf("restore: %w", err)
	}
	return out, nil
}

func restore(ctx context.Context, from Place, r Restoring) (Restored, error) {
	if entries, err := os.ReadDir(r.Into); err == nil && len(entries) > 0 {
		return Restored{}, fmt.Errorf("%s is not empty: name a new folder", r.Into)
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Restored{}, err
	}
	m, err := Read(ctx, from, r.Snapshot)
	if err != nil {
		return Restored{}, err
	}
	above := filepath.Dir(filepath.Clean(r.Into))
	if err := os.MkdirAll(above, 0o700); err != nil {
		return Restored{}, err
	}
	part, err := os.MkdirTemp(above, ".restoring-*")
	if err != nil {
		return Restored{}, err
	}
	defer os.RemoveAll(part)
	out := Restored{Snapshot: m.Snapshot, Head: fmt.Sprintf("%d:%s", m.LogSize, m.LogRoot),
		Missing: append([]string{}, m.Damaged...), Findings: []store.Finding{}}
	for _, f := range m.Files {
		if err := fetch(ctx, from, f, part, r.Identities); err != nil {
			return out, fmt.Errorf("%s: %w", f.Path, err)
		}
		out.Files++
		out.Bytes += f.Size
	}
	if out.Findings, err = r.checked(ctx, m, part); err != nil {
		return out, err
	}
	if len(out.Findings) > 0 && len(m.Damaged) == 0 {
		return out, fmt.Errorf("what was restored is not whole (%s: %s); nothing was kept", out.Findings[0].What,
			out.Findings[0].Says)
	}
	if r.Server != "" {
		if err := r.toServer(ctx, m, part); err != nil {
			return out, err
		}
	}
	if err := os.Remove(r.Into); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return out, err
	}
	return out, os.Rename(part, r.Into)
}

// toServer moves the records, which were checked, into the database of a server, and checks them there.
func (r Restoring) toServer(ctx context.Context, m Manifest, dir string) (err error) {
	file := filepath.Join(dir, r.Database)
	from, err := store.Open(ctx, "sqlite:"+file)
	if err != nil {
		return err
	}
	to, err := store.Open(ctx, r.Server)
	if err != nil {
		return errors.Join(err, from.Close())
	}
	defer func() { err = errors.Join(err, to.Close()) }()
	if err = errors.Join(store.CopyRows(ctx, from, to), from.Close()); err != nil {
		return err
	}
	found, err := r.checkedIn(ctx, to, m, dir)
	if err == nil && len(found) > 0 && len(m.Damaged) == 0 {
		err = fmt.Errorf("%s: %s", found[0].What, found[0].Says)
	}
	if err != nil {
		return fmt.Errorf("what was written into the server's database is not whole; drop that database: %w", err)
	}
	for _, name := range []string{file, file + "-wal", file + "-shm"} {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// fetch writes one file and holds its bytes against the manifest.
func fetch(ctx context.Context, from Place, f File, dir string, ids []age.Identity) error {
	in, err := from.Get(ctx, f.Object)
	if errors.Is(err, fs.ErrNotExist) {
		return errors.New("it is missing in the backup")
	}
	if err != nil {
		return err
	}
	defer in.Close()
	plain, err := unpack(in, f.Object, ids)
	if err != nil {
		return err
	}
	path := filepath.Join(dir, filepath.FromSlash(f.Path))
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return err
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	sum := sha256.New()
	size, err := io.Copy(io.MultiWriter(file, sum), io.LimitReader(plain, f.Size+1))
	if err = errors.Join(err, file.Sync(), file.Close()); err != nil {
		return fmt.Errorf("it is damaged in the backup: %w", err)
	}
	if size != f.Size || hex.EncodeToString(sum.Sum(nil)) != f.SHA256 {
		return errors.New("it is damaged in the backup: its bytes are not those that were backed up")
	}
	return nil
}

// unpack decrypts and decompresses as the endings of an object's name say.
func unpack(r io.Reader, object string, ids []age.Identity) (io.Reader, error) {
	var err error
	if strings.HasSuffix(object, ".age") {
		if len(ids) == 0 {
			return nil, errors.New("the backup is encrypted: give the file with its identity (AGE-SECRET-KEY-…)")
		}
		var none *age.NoIdentityMatchError
		if r, err = age.Decrypt(r, ids...); errors.As(err, &none) {
			return nil, errors.New("the backup is encrypted for another key than the one given")
		} else if err != nil {
			return nil, fmt.Errorf("it is damaged in the backup: %w", err)
		}
	}
	if strings.Contains(object, ".gz") {
		if r, err = gzip.NewReader(r); err != nil {
			return nil, fmt.Errorf("it is damaged in the backup: %w", err)
		}
	}
	return r, nil
}

// checked holds the restored shop against the manifest, then reads all of it. A backup of an older program is
// brought up to date by this, which adds to what it keeps but takes nothing away.
func (r Restoring) checked(ctx context.Context, m Manifest, dir string) (found []store.Finding, err error) {
	st, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, r.Database))
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	return r.checkedIn(ctx, st, m, dir)
}

func (r Restoring) checkedIn(ctx context.Context, st *store.Store, m Manifest, dir string) ([]store.Finding, error) {
	key, err := r.ClientKey(dir)
	if err != nil {
		return nil, err
	}
	if key != nil {
		if err := st.UseClientKey(key); err != nil {
			return nil, err
		}
	}
	if err := st.CheckHead(ctx, m.LogSize, m.LogRoot); err != nil {
		return nil, err
	}
	counts, err := store.Counts(ctx, st)
	if err != nil {
		return nil, err
	}
	for table, want := range m.Counts {
		if counts[table] < want { // a newer program may have added rows of its own
			return nil, fmt.Errorf("table %s has %d rows; the backup had %d", table, counts[table], want)
		}
	}
	folder, err := blobs.Dir(filepath.Join(dir, r.BlobFolder))
	if err != nil {
		return nil, err
	}
	defer folder.Close()
	return check.All(ctx, check.Parts{Store: st, Blobs: folder, Book: filepath.Join(dir, r.Book), Sealed: key == nil})
}

// ReadIdentities reads identities as age-keygen writes them.
func ReadIdentities(r io.Reader) ([]age.Identity, error) {
	ids, err := age.ParseIdentities(r)
	if err != nil {
		return nil, fmt.Errorf("no identity of age: want lines such as AGE-SECRET-KEY-1…: %w", err)
	}
	return ids, nil
}
